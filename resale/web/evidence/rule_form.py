"""The form of a change of the rule book: which opinions it changes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from resale.errors import RuleBookError
from resale.garments.rulebook.edits import EVERY_KIND, ORDER, Edit, What
from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import Signal

FIELDS: tuple[What, ...] = ("effect", "doubt")


def edits_from_form(kind: Kind, signal: Signal, form: Mapping[str, str]) -> tuple[Edit, ...]:
    """Read which opinions the form changes.

    Parameters
    ----------
    kind : Kind
        Which the form is about; its field `where` may say that every kind is meant.
    signal : Signal
        Whose options are changed.
    form : mapping of str to str
        Fields `effect-ID` (a factor) and `doubt-ID` (percent), empty where nothing changes, and
        `order`: 1 where a better answer may never lower a price, 0 where the sales decide.

    Raises
    ------
    RuleBookError
        If a number cannot be read, or nothing was changed.
    """
    where = EVERY_KIND if form.get("where") == EVERY_KIND else kind.id
    edits: dict[tuple[str, str], Edit] = {}
    for option in signal.options:
        for field, scale in (("effect", 1.0), ("doubt", 100.0)):
            text = form.get(f"{field}-{option.id}", "").strip()
            before = getattr(option, field)
            value = _number(text, f"{option.name}, {field}") / scale if text else before
            if abs(value - before) > 1e-9 and text != shown(before, field):
                # The doubt of a finding belongs to all of it.
                whole = field == "doubt" and signal.shape == "finding"
                key = ("" if whole else option.id, field)
                edits[key] = Edit(
                    kind=where,
                    signal=signal.id,
                    option=option.id,
                    field=cast("What", field),
                    value=value,
                )
    order = form.get("order", "")
    if signal.shape != "choice" and order in {"0", "1"} and order != str(int(signal.ordered)):
        edits["", ORDER] = Edit(
            kind=where, signal=signal.id, option=ORDER, field=ORDER, value=float(order)
        )
    if not edits:
        raise RuleBookError(
            "nothing was changed", where=signal.name, remedy="write another effect or doubt"
        )
    return tuple(edits.values())


def shown(value: float, field: str) -> str:
    """An opinion as the form shows it: a factor, a doubt in percent, or who says the order.

    Parameters
    ----------
    value : float
        As the rule book has it.
    field : str
        Effect, doubt, share or order.
    """
    if field == ORDER:
        return "kept" if value else "as the sales say"
    return f"{value:.3f}".rstrip("0").rstrip(".") if field == "effect" else f"{100 * value:.3g}"


def _number(text: str, where: str) -> float:
    try:
        return float(text.replace(",", ".").removeprefix("×").removesuffix("%"))
    except ValueError:
        raise RuleBookError(
            f"{text[:20]!r} is not a number", where=where, remedy="write a number such as 1.10"
        ) from None
