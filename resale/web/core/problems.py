"""Every error under /api/ as a problem of RFC 9457: what, where, remedy."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from http import HTTPStatus
from uuid import uuid4

from flask import Response, request
from pydantic import BaseModel, Field
from werkzeug.exceptions import HTTPException, SecurityError

from resale.errors import ResaleError
from resale.storage.db.disk_faults import DiskFullError, disk_fault
from resale.storage.db.server_faults import ServerError
from resale.storage.items.store import NotSavedError
from resale.storage.people.idempotency_keys import KeyTakenError
from resale.web.core.logs import fault_told
from resale.web.core.resend import AWAY_SECONDS, address_for_the_log
from resale.web.core.shop import NoSuchKindError

MEDIA_TYPE = "application/problem+json"
_log = logging.getLogger("resale.web")


@dataclass(frozen=True)
class ProblemType:
    """One type of problem: what its address on the page about the API explains."""

    id: str
    status: HTTPStatus
    title: str
    remedy: str

    @property
    def address(self) -> str:
        """Give the reference that tells the type; RFC 9457, section 3.1.1, wants the full path."""
        return f"/api#{self.id}"


_TYPES = (
    ("not-json", 400, "The body is not JSON", "send one JSON value in UTF-8, as RFC 8259 has it"),
    ("no-key", 400, "The key is missing", "send an Idempotency-Key of your own making"),
    ("not-understood", 400, "The request cannot be read", "look at the page about the API"),
    ("stranger", 400, "Asked by a strange name", "ask by the address that the program gave"),
    ("no-token", 401, "No good token", "ask the owner for a token of this device"),
    ("not-allowed", 403, "The token may not do this", "ask the owner for a token that may"),
    ("not-found", 404, "Nothing is kept at this address", "look at the address and the number"),
    ("wrong-method", 405, "The address takes another method", "use one that Allow names"),
    ("too-large", 413, "The body is too large", "send less at once"),
    ("wrong-content", 415, "The body is of another type", "send application/json, not packed"),
    ("bad-fields", 422, "Some fields cannot be", "mend what is named in errors"),
    ("not-possible", 422, "That cannot be done", "look at the item and its life first"),
    ("key-taken", 422, "The key came with something else", "make a new key for a new thing"),
    ("too-often", 429, "Asked too often", "wait for the seconds in Retry-After"),
    (
        "no-records",
        503,
        "The records cannot be reached",
        "tell the owner; send it again with the same key",
    ),
    ("disk-full", 507, "The disk is full", "tell the owner; send it again with the same key"),
    ("our-fault", 500, "Something went wrong on our side", "send it again with the same key"),
)
TYPES: Mapping[str, ProblemType] = {
    one[0]: ProblemType(one[0], HTTPStatus(one[1]), *one[2:]) for one in _TYPES
}
_BY_STATUS = {
    one.status: one for one in TYPES.values() if one.id not in ("no-key", "not-json", "stranger")
} | {HTTPStatus.BAD_REQUEST: TYPES["not-understood"], 422: TYPES["not-possible"]}


class Fault(BaseModel):
    """One field that cannot be as it is."""

    pointer: str | None = Field(
        None, description="Where in the body: a JSON pointer (RFC 6901) as a fragment."
    )
    parameter: str | None = Field(None, description="Which part of the address or header.")
    detail: str = Field(description="What is wrong with it.")
    remedy: str = Field(description="How to mend it.")


class Problem(BaseModel):
    """A problem as RFC 9457 has it, with a remedy and one entry for each bad field."""

    type: str = Field(description="Where this type of problem is explained.")
    title: str
    status: int
    detail: str = Field(description="What is wrong this time, in one sentence.")
    instance: str = Field(description="Name of this one occurrence, for whoever reads the log.")
    remedy: str = Field(description="What to do about it.")
    errors: list[Fault] = Field(default_factory=list, description="Each bad field.")


class ApiError(ResaleError):
    """A problem as a view or a check meets it, by the id of its type."""

    def __init__(
        self,
        type_id: str,
        what: str,
        remedy: str = "",
        *,
        faults: Iterable[Fault] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.type_id, self.faults, self.headers = type_id, tuple(faults), headers or {}
        super().__init__(what, remedy=remedy)


def is_api() -> bool:
    """Whether what is asked for lies under /api/."""
    return request.path.startswith("/api/")


def problem_of(fault: Exception) -> Response:
    """Turn any fault into a problem; what nobody foresaw is told to the log alone."""
    disk = disk_fault(fault)
    if disk is not None:
        _log.error("the disk on %s: %s", address_for_the_log(), disk.sentence)
        full = isinstance(disk, DiskFullError)
        return _answer(TYPES["disk-full" if full else "no-records"], _sentence(disk), disk.remedy)
    if isinstance(fault, ApiError):
        kind = TYPES[fault.type_id]
        return _answer(kind, fault.what, fault.remedy, fault.faults, headers=fault.headers)
    if isinstance(fault, ResaleError):
        return _of_ours(fault)
    if isinstance(fault, SecurityError):
        return _answer(TYPES["stranger"], "this program answers to its own names only")
    if isinstance(fault, HTTPException) and (fault.code or 500) < 500:
        return _of_http(fault)
    reference = uuid4().urn
    told = fault_told(reference)
    _log.error("fault %s on %s", reference, address_for_the_log(), exc_info=fault, extra=told)
    return _answer(TYPES["our-fault"], "nothing that was saved is lost", instance=reference)


def _of_ours(fault: ResaleError) -> Response:
    if isinstance(fault, ServerError):
        # What the server said names hosts and ports, and is for the log alone.
        _log.error("the records are away on %s: %s", address_for_the_log(), fault)
        told = {"Retry-After": str(AWAY_SECONDS)}
        return _answer(TYPES["no-records"], "the records cannot be reached", headers=told)
    return _answer(_type_of(fault), _sentence(fault), fault.remedy)


def _type_of(fault: ResaleError) -> ProblemType:
    if isinstance(fault, NotSavedError | NoSuchKindError):
        return TYPES["not-found"]
    return TYPES["key-taken" if isinstance(fault, KeyTakenError) else "not-possible"]


def _sentence(fault: ResaleError) -> str:
    return f"{fault.where}: {fault.what}" if fault.where else fault.what


def _of_http(fault: HTTPException) -> Response:
    status = HTTPStatus(fault.code or 400)
    known = _BY_STATUS.get(status)
    forwarded = ("allow", "retry-after", "accept")
    headers = {name: problem for name, problem in fault.get_headers() if name.lower() in forwarded}
    if known is None:
        # A status that no address of ours gives by itself is told in its standard words.
        known = ProblemType("not-understood", status, status.phrase, "look at the request")
    return _answer(known, f"{request.method} {request.path[:200]}: {known.title}", headers=headers)


def _answer(
    kind: ProblemType,
    detail: str,
    remedy: str = "",
    faults: Iterable[Fault] = (),
    *,
    instance: str = "",
    headers: Mapping[str, str] | None = None,
) -> Response:
    problem = Problem(
        type=kind.address,
        title=kind.title,
        status=kind.status,
        detail=_whole(detail),
        instance=instance or uuid4().urn,
        remedy=_whole(remedy or kind.remedy),
        errors=list(faults),
    )
    body = problem.model_dump_json(exclude_none=True)
    answer = Response(body, kind.status, mimetype=MEDIA_TYPE, headers=dict(headers or {}))
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _whole(clause: str) -> str:
    """Make a sentence of a clause."""
    plain = clause.strip().rstrip(".")
    return f"{plain[:1].upper()}{plain[1:]}."
