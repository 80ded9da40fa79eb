"""What can be done about wear: remedies read from TOML and checked against the rule book.

Remedies lie beside the rule book, not in it: what a repair costs does not change what an option
does to the price, so a model stays good when a remedy is corrected.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Self

from pydantic import Field, ValidationError, model_validator

from resale.errors import RuleBookError
from resale.garments.rulebook.field_types import Ident, Line, Strict
from resale.garments.rulebook.rule_book import Kind, RuleBook, read_toml

SHIPPED_REMEDIES = Path(__file__).parent / "remedies.toml"

Chance = Annotated[float, Field(gt=0, le=1)]
Steps = Annotated[Mapping[Ident, Ident], Field(min_length=1)]
Seen = Mapping[Ident, Annotated[tuple[Ident, ...], Field(min_length=1)]]


class Treatment(Strict):
    """What a remedy does to one signal.

    Attributes
    ----------
    chance : float
        Chance that it works, 0 to 1; independent of any other treatment.
    after : mapping
        For each option it can treat, the option that is left when it works.
    worse : mapping
        The option that is left when it fails; an option not named stays as it was.
    """

    signal: Ident
    chance: Chance
    after: Steps
    worse: Mapping[Ident, Ident] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _worse_is_treated(self) -> Self:
        stray = set(self.worse) - set(self.after)
        if stray:
            raise ValueError(f"worse names {sorted(stray)[0]}, which after does not treat")
        return self


class Remedy(Strict):
    """One repair or cleaning.

    Attributes
    ----------
    minutes : float
        Minutes of the shop's own people.
    material : float
        What is bought for it, or the trade's bill (currency of the rule book).
    kinds : tuple of str
        Kinds it is meant for; empty for all that have the signal.
    only_if, not_if : mapping of signal to options
        The remedy wants one of these to have been seen, or is forbidden where one was.
    harmful_on : mapping of signal to options
        As `not_if`, and nothing is done before the sign was read: what nobody read could be the
        fibre, dye or finish that the remedy spoils.
    trade_only : str, optional
        Why only a licensed or skilled trade may do it.
    after_hold : bool
        Whether it has to wait until a lead has cleared the hold.
    """

    id: Ident
    name: Line
    minutes: Annotated[float, Field(ge=0, le=480)]
    material: Annotated[float, Field(ge=0)]
    treats: Annotated[tuple[Treatment, ...], Field(min_length=1)]
    reason: Line
    kinds: tuple[Ident, ...] = ()
    only_if: Seen = Field(default_factory=dict)
    not_if: Seen = Field(default_factory=dict)
    harmful_on: Seen = Field(default_factory=dict)
    caution: Line | None = None
    trade_only: Line | None = None
    after_hold: bool = False

    @model_validator(mode="after")
    def _each_option_once(self) -> Self:
        seen: set[tuple[str, str]] = set()
        for treatment in self.treats:
            for option in treatment.after:
                if (treatment.signal, option) in seen:
                    raise ValueError(f"{treatment.signal} {option} is treated twice")
                seen.add((treatment.signal, option))
        return self

    def treatments_for(self, kind_id: str, chosen: Mapping[str, str]) -> list[Treatment]:
        """Treatments that apply to an item of this kind, as it was seen.

        Parameters
        ----------
        kind_id : str
        chosen : mapping of signal id to option id
            What was looked at.

        Returns
        -------
        list of Treatment
            None where something that could forbid it was not read.
        """
        return [] if self.to_read_first(chosen) else self._fitting(kind_id, chosen)

    def asks_first(self, kind_id: str, chosen: Mapping[str, str]) -> tuple[str, ...]:
        """Signs to read before this remedy may be done; none where it would not fit anyway.

        Parameters
        ----------
        kind_id : str
            Of the item.
        chosen : mapping of str to str
            What was seen on it, by signal.
        """
        return self.to_read_first(chosen) if self._fitting(kind_id, chosen) else ()

    def to_read_first(self, chosen: Mapping[str, str]) -> tuple[str, ...]:
        """Signs that could forbid it and that nobody read."""
        return tuple(signal for signal in self.harmful_on if signal not in chosen)

    def _fitting(self, kind_id: str, chosen: Mapping[str, str]) -> list[Treatment]:
        if self.kinds and kind_id not in self.kinds:
            return []
        if any(chosen.get(signal) not in wanted for signal, wanted in self.only_if.items()):
            return []
        barring = (*self.not_if.items(), *self.harmful_on.items())
        if any(chosen.get(signal) in barred for signal, barred in barring):
            return []
        return [one for one in self.treats if chosen.get(one.signal) in one.after]


class _File(Strict):
    remedy: Annotated[tuple[Remedy, ...], Field(min_length=1)]


@dataclass(frozen=True, eq=False)
class Remedies:
    """The checked remedies, in the order of the file. One reading of a file is alike to itself."""

    remedies: tuple[Remedy, ...]

    def __iter__(self) -> Iterator[Remedy]:
        return iter(self.remedies)

    def called(self, remedy_id: str) -> Remedy:
        """Return the remedy with this id."""
        return next(remedy for remedy in self.remedies if remedy.id == remedy_id)


def load_remedies(book: RuleBook, path: Path = SHIPPED_REMEDIES) -> Remedies:
    """Read the remedies and check them against a rule book.

    Parameters
    ----------
    book : RuleBook
        Whose kinds, signals and options they may name.
    path : Path
        Of the file; the shipped one where omitted.

    Raises
    ------
    RuleBookError
        With the remedy and what is wrong with it.
    """
    return _loaded(path, AlikeBook(book))


@dataclass(frozen=True)
class AlikeBook:
    """A rule book that counts as the same when its fingerprint is: a key to what was read of it."""

    book: RuleBook

    def __hash__(self) -> int:
        return hash(self.book.fingerprint)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, AlikeBook) and self.book.fingerprint == other.book.fingerprint


@lru_cache(maxsize=4)
def _loaded(path: Path, book: AlikeBook) -> Remedies:
    raw = read_toml(path)
    try:
        file = _File.model_validate(raw)
    except ValidationError as fault:
        raise _sentence(fault, raw, path.name) from None
    _check(file.remedy, book.book, path.name)
    return Remedies(file.remedy)


def _sentence(fault: ValidationError, raw: Mapping[str, object], name: str) -> RuleBookError:
    first = fault.errors(include_url=False)[0]
    place = list(first["loc"])
    where = name
    entries = raw.get("remedy")
    if len(place) > 1 and isinstance(place[1], int) and isinstance(entries, list):
        where = f"{name}, remedy {entries[place[1]].get('id', place[1] + 1)}"
        place = place[2:]
    what = first["msg"].removeprefix("Value error, ")
    field = ".".join(str(step) for step in place)
    return RuleBookError(
        f"{field}: {what}" if field else what, where=where, remedy="mend that entry"
    )


def _check(remedies: tuple[Remedy, ...], book: RuleBook, name: str) -> None:
    """Every id is used once; signals and options exist; success never lowers the price."""
    seen: set[str] = set()
    for remedy in remedies:
        where = f"{name}, remedy {remedy.id}"
        if remedy.id in seen:
            raise RuleBookError("two remedies share an id", where=where, remedy="rename one")
        seen.add(remedy.id)
        unknown = set(remedy.kinds) - set(book.kinds)
        if unknown:
            raise RuleBookError(
                f"kind {sorted(unknown)[0]} is not in the rule book",
                where=where,
                remedy="name another",
            )
        _check_seen(remedy, book, where)
        for treatment in remedy.treats:
            _check_treatment(treatment, _kinds_of(remedy, treatment.signal, book), where)


def _kinds_of(remedy: Remedy, signal_id: str, book: RuleBook) -> list[Kind]:
    """Kinds that the remedy is meant for and that have the signal."""
    return [
        kind
        for kind in book.kinds.values()
        if signal_id in kind.by_id and (not remedy.kinds or kind.id in remedy.kinds)
    ]


def _check_seen(remedy: Remedy, book: RuleBook, where: str) -> None:
    for condition in (remedy.only_if, remedy.not_if, remedy.harmful_on):
        for signal_id, options in condition.items():
            known = {
                option
                for kind in _kinds_of(remedy, signal_id, book)
                for option in kind.by_id[signal_id].option_ids
            }
            stray = set(options) - known
            if stray:
                raise RuleBookError(
                    f"the condition names {signal_id} {sorted(stray)[0]}, which is not there",
                    where=where,
                    remedy="name a signal of its kinds and its options",
                )


def _check_treatment(treatment: Treatment, kinds: list[Kind], where: str) -> None:
    if not kinds:
        raise RuleBookError(
            f"no kind that it is meant for has signal {treatment.signal}",
            where=where,
            remedy="name another",
        )
    for kind in kinds:
        signal = kind.by_id[treatment.signal]
        effect = {option.id: option.effect for option in signal.options}
        for steps, sign, word in ((treatment.after, 1, "lower"), (treatment.worse, -1, "raise")):
            for before, left in steps.items():
                if before not in effect or left not in effect:
                    raise RuleBookError(
                        f"{signal.id} has no option {before if before not in effect else left}",
                        where=f"{where}, kind {kind.id}",
                        remedy=f"use one of {', '.join(effect)}",
                    )
                if sign * (effect[left] - effect[before]) < 0:
                    raise RuleBookError(
                        f"{signal.id} from {before} to {left} would {word} the price",
                        where=f"{where}, kind {kind.id}",
                        remedy="name another option",
                    )
