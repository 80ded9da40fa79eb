"""How one setting is declared: its default, unit, meaning, and what a change of it does."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Annotated, Any

from pydantic import Field
from pydantic.fields import FieldInfo

Text = Annotated[str, Field(min_length=1, max_length=60)]


@dataclass(frozen=True)
class Meaning:
    """What a person needs to know of a setting before they touch it.

    Attributes
    ----------
    unit : str
        Of the value; empty where it has none.
    changes : str
        What a change does, and from when on.
    moves_prices : bool
        Whether a change may move tickets, routes or what is left to the shop of a sale.
    on_screen : bool
        Whether the screen may change it; else it is set in the file or the environment alone.
    """

    unit: str
    changes: str
    moves_prices: bool = False
    on_screen: bool = True


def setting(
    default: Any,
    sentence: str,
    *,
    changes: str,
    unit: str = "",
    moves_prices: bool = False,
    on_screen: bool = True,
    **limits: Any,
) -> Any:
    """Declare one row of the table of settings.

    Parameters
    ----------
    default
        Its value where nobody set it.
    sentence : str
        What it means, as a sentence.
    changes : str
        What a change does, as a sentence.
    unit : str
    moves_prices, on_screen : bool
        As in `Meaning`.
    **limits
        Passed on to pydantic, such as ``ge=0``.

    Returns
    -------
    FieldInfo
    """
    extra: Any = asdict(Meaning(unit, changes, moves_prices, on_screen))
    return Field(default, description=sentence, json_schema_extra=extra, **limits)


def meaning_of(field: FieldInfo) -> Meaning:
    """Give what was declared of a setting."""
    extra: Any = field.json_schema_extra
    return Meaning(**extra)
