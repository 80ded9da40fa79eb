"""What a device sends under a key of its own is done once, and answered the same each time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import TypeAdapter

from resale.services.transaction import Work
from resale.storage.people.idempotency_keys import answer_before, note_answer

T = TypeVar("T")


@dataclass(frozen=True)
class Sent:
    """How something was sent.

    Attributes
    ----------
    key : str
        Of the device and the request.
    body : dict
        What was sent, as JSON has it: with the same key it has to be the same.
    """

    key: str
    body: dict[str, Any]


def once(work: Work, sent: Sent | None, answer: type[T], do: Callable[[], T]) -> T:
    """Do something unless it was done under this key, and give what it gave the first time.

    The claim of the key, what is done and its answer are one transaction.

    Parameters
    ----------
    sent : Sent or None
        None where it came by a form, whose key the events themselves know.
    answer : type
        A frozen dataclass of plain values.

    Raises
    ------
    KeyTakenError
        If the key came with something else.
    """
    if sent is None:
        return do()
    plain: TypeAdapter[T] = TypeAdapter(answer)
    before = answer_before(work.session, sent.key, sent.body, work.at)
    if before is not None:
        return plain.validate_python(before, strict=False)
    found = do()
    note_answer(work.session, sent.key, plain.dump_python(found, mode="json"))
    return found
