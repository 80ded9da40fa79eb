"""Who does something: a person, a device, or a command, always with a name."""

from __future__ import annotations

import getpass
from dataclasses import dataclass
from typing import Literal

from resale.errors import ResaleError

Role = Literal["sorter", "lead", "owner", "device", "command", "invented", "rules"]
LEADS = frozenset({"lead", "owner"})
LONGEST = 60


class NobodyError(ResaleError):
    """Something was to be written without anybody who does it."""


@dataclass(frozen=True, slots=True)
class Actor:
    """Whoever does something.

    Attributes
    ----------
    name : str
        As it stands beside what they do; never empty.
    role : str
        A person's role, or through which other door it comes: a device of the shop, a command at
        the machine, the invented shop as it is laid out, or rules that came with the program.

    Raises
    ------
    NobodyError
        If the name is empty.
    """

    name: str
    role: Role

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise NobodyError(
                "it has to be said who does this",
                where="Audit log",
                remedy="sign in, or use a device that has a name",
            )
        object.__setattr__(self, "name", self.name.strip()[:LONGEST])

    @property
    def is_lead(self) -> bool:
        """Whether a lead's word is theirs to give."""
        return self.role in LEADS


INVENTED = Actor("invented", "invented")
"""Whoever laid out the invented shop."""


def at_the_machine() -> Actor:
    """Whoever types a command: the name of their account on this machine."""
    try:
        name = getpass.getuser()
    except (OSError, KeyError, ImportError):
        # No account in the machine's list, as in some containers.
        name = ""
    return Actor(name.strip() or "command line", "command")
