"""What must hold across the kinds of a rule book, once each file has been read."""

from __future__ import annotations

from resale.errors import RuleBookError
from resale.garments.rulebook.checked_book import Kind, RuleBook
from resale.garments.rulebook.gradings import Band, Stitches
from resale.garments.rulebook.signals import OnlyIf, Signal


def check_across(book: RuleBook) -> None:
    """One signal id means the same options in every kind; what is named elsewhere exists.

    Raises
    ------
    RuleBookError
        If two parts of the book contradict one another, or one names what is not there.
    """
    _check_warmth(book)
    tiers = {tier.id for tier in book.book.tiers}
    options: dict[str, tuple[str, ...]] = {}
    for kind in book.kinds.values():
        for zone in kind.text.zones:
            if zone not in book.zone_names:
                raise RuleBookError(
                    f"zone {zone} is not in book.toml",
                    where=f"kind {kind.id}",
                    remedy="add it there",
                )
        for signal in kind.signals:
            where = f"kind {kind.id}, signal {signal.id}"
            if options.setdefault(signal.id, signal.option_ids) != signal.option_ids:
                raise RuleBookError(
                    "another kind has a signal of this id with other options",
                    where=where,
                    remedy="rename one, or move it to shared/",
                )
            _check_what_it_hangs_on(kind, signal, where)
            for option in signal.options:
                cap = option.gate and option.gate.tier_cap
                if cap and cap not in tiers:
                    raise RuleBookError(
                        f"the gate names tier {cap}, which is not in book.toml",
                        where=f"{where}, option {option.id}",
                        remedy="name one that is",
                    )


def _check_what_it_hangs_on(kind: Kind, signal: Signal, where: str) -> None:
    """A signal and its options that decide whether this one is asked, or how it is graded."""
    bands = signal.measure.bands if isinstance(signal.measure, Stitches) else ()
    named: list[tuple[str, OnlyIf | Band]] = [("a band", band) for band in bands]
    named += [("only_if", signal.only_if)] if signal.only_if else []
    for what, wanted in named:
        if not _is_there(kind, wanted):
            raise RuleBookError(
                f"{what} names {wanted.signal}, or an option of it, that is not there",
                where=where,
                remedy="name a signal of this kind and its options",
            )


def _is_there(kind: Kind, wanted: OnlyIf | Band) -> bool:
    signal = kind.by_id.get(wanted.signal)
    return signal is not None and set(wanted.options) <= set(signal.option_ids)


def _check_warmth(book: RuleBook) -> None:
    known = {s.id: set(s.option_ids) for kind in book.kinds.values() for s in kind.signals}
    for line in book.book.warmth:
        if not set(line.options) <= known.get(line.signal, set()):
            raise RuleBookError(
                f"warmth names {line.signal}, or an option of it, that no kind has",
                where="book.toml",
                remedy="name a signal and its options",
            )
