"""The bench as it is laid out: zones in the order of the hand, the best signs of each in front."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from resale.garments.rulebook.rule_book import Kind
from resale.garments.rulebook.signals import EXTENTS, NONE, Option, Signal, finding_id
from resale.services.items.entry import TYPED, Entry
from resale.services.items.from_label import is_main_label, parts_left_open
from resale.services.items.measured import Measurement
from resale.web.item_form.alterations import FLAT_MEASURES, FlatMeasure
from resale.web.item_form.form import FLAT

# With more options than this, the text field is the quicker way and the options fold away.
MANY_OPTIONS = 9


@dataclass(frozen=True)
class FindingRow:
    """The five extents of a finding at one place."""

    place: str
    options: tuple[tuple[Option, str], ...]


@dataclass(frozen=True)
class SignalView:
    """One signal as it stands on the page.

    Attributes
    ----------
    also : tuple of Signal
        Open questions that the words typed here answer as well.
    """

    signal: Signal
    chosen: str
    typed: str
    gauge: str
    flat: FlatMeasure | None
    flat_typed: str
    measured: Measurement | None
    faults: tuple[str, ...]
    is_next: bool
    left_out: bool
    also: tuple[Signal, ...]

    @property
    def folds_options(self) -> bool:
        """Whether the options stand behind 'pick by hand'."""
        return self.signal.measure is not None and len(self.signal.options) > MANY_OPTIONS

    @property
    def chosen_name(self) -> str:
        """Name of the option chosen."""
        return self.signal.option(self.chosen).name if self.chosen else ""

    @property
    def none(self) -> Option:
        """The option 'none' of a finding."""
        return self.signal.option(NONE)

    def finding_rows(self) -> list[FindingRow]:
        """Options of a finding by place, each with its extent in words."""
        rows = []
        for place in ("hidden", "seen"):
            options = [
                self.signal.option(finding_id(place, extent)) for extent in range(1, EXTENTS + 1)
            ]
            words = tuple((one, one.name.split(", ", 1)[-1]) for one in options)
            rows.append(FindingRow(place, words))
        return rows


@dataclass(frozen=True)
class ZoneView:
    """One zone with its signs in front and its signs folded away."""

    id: str
    name: str
    front: tuple[SignalView, ...]
    folded: tuple[SignalView, ...]

    @property
    def looked(self) -> int:
        """Signs of the zone that were looked at."""
        return sum(bool(view.chosen) for view in (*self.front, *self.folded))

    @property
    def findings(self) -> bool:
        """Whether several findings stand in front, so that 'found none' saves taps."""
        return sum(view.signal.shape == "finding" for view in self.front) > 1


def zones_of(
    kind: Kind,
    names: Mapping[str, str],
    ahead: frozenset[str],
    entry: Entry,
    best: str | None = None,
) -> list[ZoneView]:
    """Lay out a kind's zones for one entry.

    Parameters
    ----------
    names : mapping of zone id to str
    ahead : frozenset of str
        Signs that stand in front for an item of which nothing is known.
    best : str or None
        Id of the signal to look at next.
    """
    zones, also = [], parts_left_open(kind, entry)
    for zone, signals in kind.by_zone():
        views = [_view(signal, entry, best, also) for signal in signals]
        front = tuple(v for v in views if v.signal.id in ahead or v.chosen or v.is_next)
        folded = tuple(v for v in views if v not in front)
        if views:
            zones.append(ZoneView(zone, names[zone], front, folded))
    return zones


def said_views(kind: Kind, entry: Entry) -> list[SignalView]:
    """Views of the measured signals alone, for an answer to a tap.

    Parameters
    ----------
    kind : Kind
        Whose measured signals are shown.
    entry : Entry
        What was typed, and what it was graded as.
    """
    also = parts_left_open(kind, entry)
    return [_view(one, entry, None, also) for one in kind.signals if one.measure]


def _view(signal: Signal, entry: Entry, best: str | None, also: tuple[Signal, ...]) -> SignalView:
    names = (TYPED + signal.id, FLAT + signal.id)
    measured = entry.measured.get(signal.id)
    graded = measured.option_id if measured else None
    return SignalView(
        signal,
        graded or entry.picked.get(signal.id, ""),
        entry.typed.get(signal.id, ""),
        entry.gauges.get(signal.id, ""),
        FLAT_MEASURES.get(signal.id),
        entry.flats.get(signal.id, ""),
        measured,
        tuple(entry.faults[name] for name in names if name in entry.faults),
        signal.id == best,
        signal.id in entry.left_out,
        also if is_main_label(signal) else (),
    )
