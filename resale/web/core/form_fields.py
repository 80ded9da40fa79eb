"""Numbers and days in what a browser sends: within bounds that every reader behind can bear.

One table of field names and types, asked before any view: what is a number and lies out of bounds
is refused in one sentence. What is no number at all is left to the view, which knows better how to
say what it wanted.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Annotated, Any

from flask import Flask, request
from pydantic import AfterValidator, BeforeValidator, Field, TypeAdapter, ValidationError
from werkzeug.routing import IntegerConverter, Map

from resale.errors import ReadingError
from resale.web.core.problems import is_api

# What the number of a row is in every database.
MOST = 2**31 - 1
LARGEST, SMALLEST = 1e9, 1e-9
FIRST_DAY, LAST_DAY = date(1990, 1, 1), date(2100, 12, 31)
# A value that cannot be read at all, which is the view's to say.
_UNREAD = frozenset({"int_parsing", "float_parsing", "value_error", "int_from_float"})


def _plain(text: str) -> str:
    """A number as hands write it: a comma for the point, a mark before, percent behind."""
    return text.replace(",", ".").removeprefix("×").removesuffix("%").strip()


def _iso(text: str) -> date:
    return date.fromisoformat(text)


def _not_too_small(value: float) -> float:
    if value and abs(value) < SMALLEST:
        raise AssertionError
    return value


Whole = Annotated[int, Field(ge=0, le=MOST)]
Number = Annotated[
    float,
    BeforeValidator(_plain),
    Field(ge=-LARGEST, le=LARGEST, allow_inf_nan=False),
    AfterValidator(_not_too_small),
]
Day = Annotated[date, BeforeValidator(_iso), Field(ge=FIRST_DAY, le=LAST_DAY)]

_WHOLE, _NUMBER, _DAY = (TypeAdapter[Any](one) for one in (Whole, Number, Day))
FIELDS = {
    **dict.fromkeys(
        ("page", "before", "start", "person", "count", "photos", "added", "gone"),
        (_WHOLE, f"from 0 to {MOST:,}"),
    ),
    **dict.fromkeys(
        ("level", "cm", "kind_most", "size_most", "share"),
        (_NUMBER, "of an ordinary size"),
    ),
    **dict.fromkeys(("day", "from", "to", "until"), (_DAY, f"from {FIRST_DAY} to {LAST_DAY}")),
}
"""Field names, what each is, and which values it takes, in words."""

PREFIXES = {
    "effect-": (_NUMBER, "of an ordinary size"),
    "doubt-": (_NUMBER, "of an ordinary size"),
}


class RowNumber(IntegerConverter):
    """A number in an address, no larger than any row's."""

    def __init__(self, map: Map, *args: Any, **more: Any) -> None:
        super().__init__(map, *args, **{"max": MOST, **more})


def init_app(app: Flask) -> None:
    """Look through what is sent to an application, before its views do.

    Called before the blueprints: numbers in their addresses are bounded too.
    """
    app.url_map.converters["int"] = RowNumber
    app.before_request(_look_through)


def check_fields(fields: Iterable[tuple[str, str]]) -> None:
    """Refuse numbers and days out of bounds.

    Raises
    ------
    ReadingError
        For the first of them.
    """
    for name, text in fields:
        kind = FIELDS.get(name) or next(
            (one for start, one in PREFIXES.items() if name.startswith(start)), None
        )
        if kind is None or not text.strip():
            continue
        adapter, bounds = kind
        try:
            adapter.validate_python(text.strip())
        except ValidationError as fault:
            if fault.errors(include_url=False)[0]["type"] in _UNREAD:
                continue
            raise ReadingError(
                f"{text.strip()[:20]!r} is out of bounds", where=name, remedy=f"write one {bounds}"
            ) from None


def _look_through() -> None:
    if is_api():
        return
    # A part of several may come without a name, whatever the types of the library say.
    if None in (*request.form, *request.files):
        raise ReadingError(
            "a part of what was sent has no name",
            where="the form",
            remedy="load the page again and send it anew",
        )
    check_fields(_sent())


def _sent() -> Iterator[tuple[str, str]]:
    yield from request.args.items(multi=True)
    yield from request.form.items(multi=True)
    for name, value in (request.view_args or {}).items():
        if isinstance(value, str):
            yield name, value
