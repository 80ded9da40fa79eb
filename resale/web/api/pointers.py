"""Where in a sent document something is wrong: JSON pointers, and pydantic's findings by them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any
from urllib.parse import quote

from pydantic import ValidationError

from resale.web.core.problems import Fault

# More about one request than this helps nobody.
MOST_FAULTS = 50
# Characters that a fragment may hold as they are (RFC 3986, section 3.5).
_PLAIN = "/~!$&'()*+,;=:@?-._"
_WHAT = {
    "missing": ("it is missing", "add it"),
    "extra_forbidden": ("there is no such field here", "take it out, or look how it is written"),
    "string_pattern_mismatch": (
        "the text holds characters that it may not, such as NUL or other control characters",
        "write it again without them",
    ),
    "string_type": ("it is not a text", "put it in quotation marks"),
    "int_type": ("it is not a whole number", "write one without a point; money in minor units"),
    "int_from_float": ("it is not a whole number", "write one without a point"),
}


def pointer(*steps: str | int) -> str:
    """Write a JSON pointer as a fragment (RFC 6901, sections 3 and 6).

    Examples
    --------
    >>> pointer("readings", "a/b~c d", 0)
    '#/readings/a~1b~0c%20d/0'
    """
    escaped = (str(step).replace("~", "~0").replace("/", "~1") for step in steps)
    return "#" + "".join(f"/{quote(step, safe=_PLAIN)}" for step in escaped)


def faults_of(found: ValidationError, *, parameters: bool = False) -> list[Fault]:
    """Turn what pydantic found into faults, each at the place that it speaks of.

    Parameters
    ----------
    parameters : bool
        Whether parts of the address were checked rather than a body.
    """
    return list(_faults(found.errors(include_url=False, include_input=False), parameters))


def _faults(errors: Iterable[Any], parameters: bool) -> Iterator[Fault]:
    for error in list(errors)[:MOST_FAULTS]:
        steps = tuple(step for step in error["loc"] if step != "[key]")
        what, remedy = _WHAT.get(error["type"], ("", ""))
        what = what or _clause(error["msg"])
        remedy = remedy or "look at the document of the API"
        name = str(steps[-1])[:60] if steps else ""
        detail = f"{name}: {what}" if name and not isinstance(steps[-1], int) else what
        if parameters:
            yield Fault(parameter=name, detail=detail, remedy=remedy)
            continue
        # What is missing has no place of its own; the object that lacks it has.
        steps = steps[:-1] if error["type"] == "missing" else steps
        yield Fault(pointer=pointer(*steps), detail=detail, remedy=remedy)


def _clause(message: str) -> str:
    plain = message.removeprefix("Value error, ").removeprefix("Input ")
    return f"it {plain}" if plain.startswith("should") else plain[:200]
