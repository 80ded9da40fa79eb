"""The rule book: kinds, their signals, tiers and zones, read from TOML and checked.

A book is a folder: `book.toml` (tiers, zones, doubts that belong to no signal), the signals that
several kinds use under `shared/` (labels, cloth, seams, wear ...) and one file a kind under
`kinds/`. Adding a kind or a signal is adding text to these files; no code knows a kind by name.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from resale.errors import RuleBookError
from resale.garments.rulebook.checked_book import Kind, RuleBook
from resale.garments.rulebook.checks import check_across
from resale.garments.rulebook.field_types import Strict
from resale.garments.rulebook.findings import FindingText
from resale.garments.rulebook.schema import Book, Change, KindText
from resale.garments.rulebook.shares import parts_of_one, with_fixed
from resale.garments.rulebook.signals import Signal

__all__ = ["SHIPPED_BOOK", "Kind", "RuleBook", "checked", "load_rule_book", "read_toml"]

Part = TypeVar("Part", bound=Strict)
SHIPPED_BOOK = Path(__file__).parent / "book"
# What a kind may say otherwise about a shared signal, besides single options.
CHANGED_WHOLE = ("zone", "seconds", "measure", "only_if", "hands", "see", "fools", "source")


@lru_cache(maxsize=4)
def load_rule_book(folder: Path = SHIPPED_BOOK) -> RuleBook:
    """Read and check a rule book folder.

    Parameters
    ----------
    folder : Path
        Folder with `book.toml`, `shared/*.toml` and `kinds/*.toml`.

    Returns
    -------
    RuleBook

    Raises
    ------
    RuleBookError
        With file, kind, signal and option of the first fault.
    """
    first = folder / "book.toml"
    common, own = (sorted((folder / room).glob("*.toml")) for room in ("shared", "kinds"))
    book, shared = checked(Book, read_toml(first), first.name), shared_signals(folder)
    kinds = [kind_of(path.name, read_toml(path), shared) for path in own]
    if not kinds:
        raise RuleBookError("no kind is described", where=str(folder), remedy="add kinds/NAME.toml")
    # What is shared counts as one text, in whichever files it stands.
    texts = (first.read_bytes(), b"".join(map(Path.read_bytes, common)), *map(Path.read_bytes, own))
    digest = hashlib.sha256(b"\0".join(texts)).hexdigest()
    result = RuleBook(book, {kind.id: kind for kind in kinds}, digest)
    check_across(result)
    return result


def shared_signals(folder: Path) -> dict[str, dict[str, Any]]:
    """Signals that several kinds of a book use, as they were read, by their id."""
    paths = sorted((folder / "shared").glob("*.toml"))
    return {raw.get("id", "?"): raw for path in paths for raw in read_toml(path).get("signal", [])}


def read_toml(path: Path) -> dict[str, Any]:
    """Read a file of the book, or say what is wrong with it.

    Raises
    ------
    RuleBookError
        If the file is missing, or no TOML.
    """
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise RuleBookError("the file is missing", where=str(path), remedy="restore it") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as fault:
        raise RuleBookError(
            f"the file is not TOML ({fault})", where=path.name, remedy="mend that line"
        ) from None


def kind_of(file: str, raw: dict[str, Any], shared: Mapping[str, dict[str, Any]]) -> Kind:
    """Make a kind of what its file says.

    Parameters
    ----------
    file : str
        Its name, for the sentence on what is wrong.
    raw : dict
        As it was read.
    shared : mapping of signal id to dict
        Signals that several kinds use.

    Raises
    ------
    RuleBookError
        If it has a table that no kind has, or changes a signal that it does not use.
    """
    unknown = set(raw) - {"kind", "signal", "change"}
    if unknown:
        raise RuleBookError(
            f"unknown table {sorted(unknown)[0]}", where=file, remedy="use kind, signal or change"
        )
    text = checked(KindText, raw.get("kind", {}), file)
    changes = raw.get("change", {})
    stray = set(changes) - set(text.uses)
    if stray:
        raise RuleBookError(
            f"change.{sorted(stray)[0]} changes a signal that the kind does not use",
            where=f"{file}, kind {text.id}",
            remedy="add it to uses or drop the change",
        )
    signals = []
    for signal_id in text.uses:
        if signal_id not in shared:
            raise RuleBookError(
                f"uses signal {signal_id}, which is in no file of shared/",
                where=f"{file}, kind {text.id}",
                remedy="add it there or drop it from uses",
            )
        signals.append(_signal(file, text.id, shared[signal_id], changes.get(signal_id, {})))
    signals += [_signal(file, text.id, one, {}) for one in raw.get("signal", [])]
    return Kind(text, _in_hand_order(file, text, signals))


def _in_hand_order(file: str, text: KindText, signals: list[Signal]) -> tuple[Signal, ...]:
    place = {zone: position for position, zone in enumerate(text.zones)}
    seen: set[str] = set()
    for signal in signals:
        where = f"{file}, kind {text.id}, signal {signal.id}"
        if signal.zone not in place:
            raise RuleBookError(
                f"zone {signal.zone} is not among the zones of the kind",
                where=where,
                remedy="add it to zones or move the signal",
            )
        if signal.id in seen:
            raise RuleBookError("the signal stands twice", where=where, remedy="drop one")
        seen.add(signal.id)
    return tuple(sorted(signals, key=lambda signal: place[signal.zone]))


def _signal(file: str, kind: str, raw: Mapping[str, Any], changes: Mapping[str, Any]) -> Signal:
    """Spell out a finding, apply what the kind says otherwise, check the whole."""
    where = f"{file}, kind {kind}, signal {raw.get('id', '?')}"
    filled = dict(raw)
    finding = filled.pop("finding", None)
    if finding is not None:
        filled["shape"] = "finding"
        filled["options"] = checked(FindingText, finding, where).options()
    if stray := set(changes) - {*CHANGED_WHOLE, "options"}:
        raise RuleBookError(
            f"a kind cannot change {sorted(stray)[0]} of a shared signal",
            where=where,
            remedy=f"change options, {', '.join(CHANGED_WHOLE)}",
        )
    filled |= {key: changes[key] for key in CHANGED_WHOLE if key in changes}
    options = {one.get("id"): dict(one) for one in filled.get("options", [])}
    if len(options) == len(filled.get("options", [])):
        # Two options of one id stay as they are, for the check of the signal to name.
        filled["options"] = _with_changes(options, changes.get("options", {}), where)
    return checked(Signal, filled, where)


def _with_changes(
    options: Mapping[str, dict[str, Any]], changes: Mapping[str, Any], where: str
) -> list[dict[str, Any]]:
    """Options as this kind has them, their shares made a whole."""
    shares: dict[str, Any] = {name: option.get("share") for name, option in options.items()}
    if all(isinstance(share, int | float) and share >= 0 for share in shares.values()):
        for name, share in parts_of_one(shares).items():
            options[name]["share"] = share
    held = set()
    for option_id, change in changes.items():
        otherwise = checked(Change, change, f"{where}, option {option_id}")
        if option_id not in options:
            raise RuleBookError(
                f"changes option {option_id}, which is not there",
                where=where,
                remedy="name another",
            )
        options[option_id].update(otherwise.model_dump(exclude_none=True))
        if otherwise.share is not None:
            held.add(option_id)
    if held:
        shares = {name: option["share"] for name, option in options.items()}
        for name, share in with_fixed(shares, held, where).items():
            options[name]["share"] = share
    return list(options.values())


def checked(model: type[Part], raw: Any, where: str) -> Part:
    """Check a part of the book, or say in one sentence what it cannot mean.

    Parameters
    ----------
    model : type
        Part of a book, such as a kind.
    raw : dict
        As it was read from the file.
    where : str
        File and part, for the sentence.

    Returns
    -------
    model

    Raises
    ------
    RuleBookError
        If it cannot mean what it says.
    """
    try:
        return model.model_validate(raw)
    except ValidationError as fault:
        raise _sentence(fault, raw, where) from None


def _sentence(fault: ValidationError, raw: Any, where: str) -> RuleBookError:
    """Turn the first complaint into our sentence, naming the option by its id."""
    first = fault.errors(include_url=False)[0]
    path = list(first["loc"])
    if len(path) >= 2 and path[0] == "options" and isinstance(path[1], int):
        option = raw["options"][path[1]]
        where = f"{where}, option {option.get('id', path[1] + 1)}"
        path = path[2:]
    field = ".".join(str(step) for step in path)
    what = first["msg"].removeprefix("Value error, ")
    what = what[:1].lower() + what[1:]
    return RuleBookError(
        f"{field}: {what}" if field else what, where=where, remedy="mend that entry"
    )
