"""What a device sent, checked: a body of JSON, parts of the address, the key for sending again."""

from __future__ import annotations

import re
from typing import TypeVar

from flask import request
from pydantic import BaseModel, ValidationError
from pydantic_core import from_json

from resale.web.api.pointers import faults_of
from resale.web.core.problems import ApiError

Model = TypeVar("Model", bound=BaseModel)
KEY_HEADER = "Idempotency-Key"
# A string of RFC 9651, section 3.3.3, as the draft wants it, or the same without its quotes.
_SIGNS = r"[\x21\x23-\x5B\x5D-\x7E]{1,64}"
KEY_PATTERN = f'^("{_SIGNS}"|{_SIGNS})$'
_KEY = re.compile(KEY_PATTERN)


def read_body(model: type[Model]) -> Model:
    """Read the body as a model.

    Raises
    ------
    ApiError
        Where it is of another type, not JSON, or no such model; each bad field is named.
    """
    if request.mimetype != "application/json" or request.headers.get("Content-Encoding"):
        # RFC 9110, section 15.5.16: the answer may say what would be taken.
        raise ApiError(
            "wrong-content",
            f"the body came as {request.mimetype[:60] or 'nothing that is named'}",
            headers={"Accept": "application/json"},
        )
    sent = request.get_data()
    try:
        # Read for its form first: NaN and Infinity are no JSON (RFC 8259, section 6).
        from_json(sent, allow_inf_nan=False, cache_strings=False)
        return model.model_validate_json(sent)
    except ValidationError as found:
        raise ApiError(
            "bad-fields", "the body holds what cannot be", faults=faults_of(found)
        ) from None
    except ValueError as fault:
        raise ApiError("not-json", f"{fault}") from None


def read_query(model: type[Model]) -> Model:
    """Read the part of the address after the question mark; a name given twice is refused.

    Raises
    ------
    ApiError
        If a name is given twice, or a value cannot be.
    """
    twice = [name for name, values in request.args.lists() if len(values) > 1]
    if twice:
        raise ApiError("not-understood", f"{twice[0][:60]} is given twice", "give it once")
    try:
        return model.model_validate(request.args.to_dict())
    except ValidationError as found:
        faults = faults_of(found, parameters=True)
        raise ApiError("bad-fields", "the address holds what cannot be", faults=faults) from None


def read_key(in_body: str | None) -> str:
    """Find the key under which something is sent: in the header, or in the body's field.

    Raises
    ------
    ApiError
        If there is none, two that differ, or what cannot be one.
    """
    header = request.headers.get(KEY_HEADER)
    if header is None:
        if in_body is None:
            raise ApiError("no-key", "this changes the records, so it needs a key of its own")
        return in_body
    if not _KEY.fullmatch(header.strip()):
        raise ApiError(
            "not-understood",
            f"{KEY_HEADER} is no key",
            'write it like "8e03978e-40d5-43dd-bc93-6894a57f9324": up to 64 printable characters',
        )
    key = header.strip().strip('"')
    if in_body is not None and in_body != key:
        raise ApiError(
            "not-understood", "header and body give two keys", "give the key in one of them"
        )
    return key
