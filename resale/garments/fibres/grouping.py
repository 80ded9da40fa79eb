"""Decide which percentage belongs to which fibre, and both to which part of the item."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from resale.garments.fibres.content import WHOLE
from resale.garments.fibres.tokens import Item

_ENDS_ASIDE = frozenset(".;\n)")
_ENDS_HEADING = frozenset(".;\n:")
_ENDS_CHUNK = frozenset(",;\n")


@dataclass(slots=True)
class Section:
    """A stretch of the label under one heading, which may name several parts."""

    parts: list[str] = field(default_factory=list)
    items: list[Item] = field(default_factory=list)
    asides: list[tuple[Item, ...]] = field(default_factory=list)

    @property
    def is_empty(self) -> bool:
        """Whether the heading has nothing under it."""
        return not self.asides and all(item.kind == "break" for item in self.items)


@dataclass(slots=True)
class Group:
    """One percentage, if any, with the fibres and unknown words that stand with it."""

    percent: Item | None = None
    fibres: list[Item] = field(default_factory=list)
    unknown: list[Item] = field(default_factory=list)

    def add(self, item: Item) -> None:
        """Put an item where its kind belongs."""
        if item.kind == "percent":
            self.percent = item
        elif item.kind == "fibre":
            self.fibres.append(item)
        else:
            self.unknown.append(item)


# ---------------------------------------------------------------- parts and asides
_Piece = Item | tuple[Item, ...]


def split_sections(items: Sequence[Item]) -> list[Section]:
    """Split a label at the names of parts, whether they stand before or after their content."""
    pieces = list(_fold_asides(items))
    return _sections_named_after(pieces) if _named_after(pieces) else _sections_named_before(pieces)


def _fold_asides(items: Sequence[Item]) -> Iterator[_Piece]:
    """Yield items, each 'except' clause folded into one tuple."""
    place = 0
    while place < len(items):
        start = place
        place += 1
        if items[start].kind != "aside":
            yield items[start]
            continue
        while place < len(items) and not _ends_aside(items, place):
            place += 1
        yield tuple(items[start + 1 : place])


def _ends_aside(items: Sequence[Item], place: int) -> bool:
    item = items[place]
    if item.kind == "break":
        return item.shown in _ENDS_ASIDE
    return item.kind == "aside" or (item.kind == "part" and _is_heading(items, place))


def _is_heading(items: Sequence[Item], place: int) -> bool:
    """Whether a part name inside an aside opens a new part, or only says where ('to the back')."""
    for item in items[place + 1 :]:
        if item.kind == "percent" or (item.kind == "break" and item.shown == ":"):
            return True
        if item.kind not in {"part", "break"} or item.shown in _ENDS_ASIDE:
            return False
    return False


def _named_after(pieces: Sequence[_Piece]) -> bool:
    """Whether the label writes '100% cotton shell' rather than 'shell 100% cotton'."""
    kinds = [piece.kind if isinstance(piece, Item) else "aside" for piece in pieces]
    for place, piece in enumerate(pieces[1:], start=1):
        if isinstance(piece, Item) and piece.shown == ":" and kinds[place - 1] == "part":
            return False
    weighty = [kind for kind in kinds if kind not in {"break", "mark"}]
    return len(weighty) > 1 and weighty[0] != "part" and weighty[-1] == "part"


def _put(section: Section, piece: _Piece) -> None:
    if isinstance(piece, Item):
        section.items.append(piece)
    else:
        section.asides.append(piece)


def _sections_named_before(pieces: Sequence[_Piece]) -> list[Section]:
    sections = [Section([WHOLE])]
    for piece in pieces:
        current = sections[-1]
        if not (isinstance(piece, Item) and piece.kind == "part"):
            _put(current, piece)
        elif current.is_empty and _shares_heading(current, piece.ids[0]):
            current.parts.extend(set(piece.ids) - set(current.parts))
        else:
            sections.append(Section(list(piece.ids)))
    return sections if not sections[0].is_empty else sections[1:]


def _shares_heading(current: Section, part: str) -> bool:
    """'Shell/lining 100% silk' is one heading; 'Lining: (nothing) Shell: 100% silk' is two."""
    if current.parts == [WHOLE]:
        return False
    ended = any(item.shown in _ENDS_HEADING for item in current.items)
    return part in current.parts or not ended


def _sections_named_after(pieces: Sequence[_Piece]) -> list[Section]:
    sections = [Section()]
    for piece in pieces:
        if isinstance(piece, Item) and piece.kind == "part":
            sections[-1].parts.extend(set(piece.ids) - set(sections[-1].parts))
            continue
        if sections[-1].parts and not (isinstance(piece, Item) and piece.kind == "break"):
            sections.append(Section())
        _put(sections[-1], piece)
    # A mark after the last part has no part of its own; it stays with the last one.
    if len(sections) > 1 and not sections[-1].parts:
        sections[-2].items.extend(sections.pop().items)
    return sections


# ---------------------------------------------------------------- marks
def attach_marks(items: Sequence[Item]) -> list[Item]:
    """Give each mark to the fibre after it, else the one before, up to the next percentage.

    A mark with no fibre in reach becomes an unknown word, so that it is asked about.
    """
    out: list[Item] = []
    pending: list[Item] = []
    nearest: int | None = None
    for item in items:
        if item.kind == "mark":
            pending.append(item)
        elif item.kind == "fibre":
            out.append(_with_marks(item, pending))
            pending, nearest = [], len(out) - 1
        elif item.kind == "percent":
            _settle(out, pending, nearest)
            out.append(item)
            pending, nearest = [], None
        else:
            out.append(item)
    _settle(out, pending, nearest)
    return out


def _with_marks(item: Item, marks: Sequence[Item]) -> Item:
    return replace(item, marks=item.marks + tuple(m for mark in marks for m in mark.marks))


def _settle(out: list[Item], pending: Sequence[Item], nearest: int | None) -> None:
    if nearest is not None:
        out[nearest] = _with_marks(out[nearest], pending)
    else:
        out.extend(replace(mark, kind="unknown", marks=()) for mark in pending)


# ---------------------------------------------------------------- percentages and fibres
def group_lines(items: Sequence[Item]) -> tuple[list[Group], bool]:
    """Pair percentages with fibres.

    Returns
    -------
    list of Group, bool
        The groups in order, and whether they were paired by order alone
        ('65/35 polyester cotton').
    """
    single = [one for item in items for one in _one_fibre_each(item)]
    units = [item for item in single if item.kind != "break"]
    paired = _paired_by_order(units)
    if paired:
        return paired, True
    return _paired_by_chunk(single) or _paired_by_side(units), False


def _one_fibre_each(item: Item) -> list[Item]:
    return [replace(item, ids=(one,)) for one in item.ids] if item.kind == "fibre" else [item]


def _paired_by_order(units: Sequence[Item]) -> list[Group]:
    """Pair k percentages in a row with k fibres in a row."""
    half = len(units) // 2
    first, second = units[:half], units[half:]
    kinds = [{item.kind for item in side} for side in (first, second)]
    if len(units) % 2 or half < 2 or sorted(kinds, key=str) != [{"fibre"}, {"percent"}]:
        return []
    percents, fibres = (first, second) if first[0].kind == "percent" else (second, first)
    if len({item.ids for item in fibres}) < half:
        return []
    return [Group(percent, [fibre]) for percent, fibre in zip(percents, fibres, strict=True)]


def _paired_by_chunk(items: Sequence[Item]) -> list[Group]:
    """Pair inside commas and lines, where each stretch begins or ends with its one percentage."""
    chunks: list[list[Item]] = [[]]
    for item in items:
        if item.kind != "break":
            chunks[-1].append(item)
        elif item.shown in _ENDS_CHUNK:
            chunks.append([])
    groups = []
    for chunk in filter(None, chunks):
        percents = [item for item in chunk if item.kind == "percent"]
        if len(percents) != 1 or len(chunk) < 2 or percents[0] not in (chunk[0], chunk[-1]):
            return []
        groups.append(_group(chunk))
    return groups


def _paired_by_side(units: Sequence[Item]) -> list[Group]:
    """Pair by the habit of the label: all percentages before their fibres, or all after."""
    stretches: list[list[Item]] = [[]]
    before = _percent_comes_first(units)
    for item in units:
        if item.kind != "percent":
            stretches[-1].append(item)
        elif before:
            stretches.append([item])
        else:
            stretches[-1].append(item)
            stretches.append([])
    return [_group(stretch) for stretch in stretches if stretch]


def _percent_comes_first(units: Sequence[Item]) -> bool:
    # Unknown words in front (a shop's note, a country) do not decide while a fibre can.
    kinds = [item.kind for item in units]
    other = "fibre" if "fibre" in kinds else "unknown"
    if "percent" not in kinds or other not in kinds:
        return True
    return kinds.index("percent") < kinds.index(other)


def _group(items: Sequence[Item]) -> Group:
    group = Group()
    for item in items:
        group.add(item)
    return group
