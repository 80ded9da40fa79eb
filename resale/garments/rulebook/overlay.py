"""A shop's own changes to the rule book, as a text that can be read and carried elsewhere.

They lie in its records. As a file they are TOML, oldest change first, and it says of each who
made it, when and why:

    [[change]]
    kind = "*"
    signal = "label_era"
    option = "older_label"
    field = "effect"
    value = 1.4
    who = "Ines"
    when = 2026-11-03
    why = "Collectors ask for them."

Changes are added, not rewritten: to take one back is a new change, and the file is the history.
"""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from typing import Annotated

from pydantic import Field

from resale.garments.rulebook.edits import Edit, with_edits
from resale.garments.rulebook.field_types import Strict
from resale.garments.rulebook.rule_book import RuleBook, checked, read_toml

# Nothing that a line of TOML could not hold.
Words = Annotated[str, Field(min_length=1, max_length=240, pattern=r"^[^\x00-\x1f\x7f]+$")]
HEAD = "# What this shop changed in the rule book, oldest first.\n"


class RuleChange(Edit):
    """One opinion changed, by whom, when and why."""

    who: Words
    when: dt.date
    why: Words


class Overlay(Strict):
    """All changes of a shop, oldest first."""

    change: tuple[RuleChange, ...] = ()


def read_overlay(path: Path) -> Overlay:
    """Read a shop's changes; none where there is no file yet.

    Raises
    ------
    RuleBookError
        With the number of the change that cannot be read.
    """
    if not path.exists():
        return Overlay()
    raw = read_toml(path)
    rows = raw.get("change", [])
    if set(raw) <= {"change"} and isinstance(rows, list):
        changes = [
            checked(RuleChange, row, f"{path.name}, change {number}")
            for number, row in enumerate(rows, start=1)
        ]
        return Overlay(change=tuple(changes))
    return checked(Overlay, raw, path.name)


def overlay_text(overlay: Overlay) -> str:
    """Give the changes as TOML."""
    return "\n".join([HEAD, *(_table(change) for change in overlay.change)])


def _table(change: RuleChange) -> str:
    rows = ["[[change]]"]
    for name, value in change:
        # JSON writes text and numbers as TOML reads them, once control characters are kept out.
        shown = value.isoformat() if isinstance(value, dt.date) else _as_json(value)
        rows.append(f"{name} = {shown}")
    return "\n".join(rows) + "\n"


def _as_json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def apply_overlay(book: RuleBook, overlay: Overlay) -> RuleBook:
    """Apply a shop's changes to the shipped book.

    Parameters
    ----------
    book : RuleBook
        As shipped.
    overlay : Overlay
        The shop's changes.

    Returns
    -------
    RuleBook
        With a fingerprint made of the book's own and of what reads otherwise; the book itself
        where nothing does.

    Raises
    ------
    RuleBookError
        Where a change names what the book does not have (any more), or all of them together make
        it say what it cannot mean.
    """
    return with_edits(book, overlay.change)
