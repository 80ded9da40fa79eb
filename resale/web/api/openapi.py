"""The document of the API: OpenAPI 3.1, made of the models that check what is sent."""

from __future__ import annotations

import re
from collections import defaultdict
from functools import cache
from typing import Any

from flask import current_app
from openapi_pydantic import (
    Components,
    Header,
    Info,
    MediaType,
    OpenAPI,
    Parameter,
    PathItem,
    Reference,
    RequestBody,
    Response,
    Schema,
    SecurityScheme,
    Server,
)
from openapi_pydantic import Operation as OpenApiOperation
from openapi_pydantic.util import PydanticSchema, construct_open_api_with_schema_class
from pydantic import BaseModel

from resale import __version__
from resale.web.api.examples import EXAMPLES
from resale.web.api.operations import OPERATIONS, Operation
from resale.web.api.parsing import KEY_HEADER, KEY_PATTERN
from resale.web.core.problems import MEDIA_TYPE, TYPES, Problem, ProblemType

ABOUT = (
    "The shop for its own devices. Money is in minor units of the currency. Every error is a "
    "problem of RFC 9457 with a remedy. A token may read, save or sell; the owner makes it."
)
_SECURITY = "device"
_HEADERS = defaultdict(str, {401: "WWW-Authenticate", 403: "WWW-Authenticate", 429: "Retry-After"})
_PARTS = {
    "number": ("Number of the item, as on its ticket or as scanned.", "Q-00001"),
    "day": ("A day as 2026-03-31, or today.", "today"),
    "hold": ("Id of a hold that is open on it.", "mould"),
}


@cache
def document() -> str:
    """Write the document; it says the same as long as the program runs."""
    paths: dict[str, PathItem] = {}
    for address, method, operation in addresses():
        item = paths.setdefault(address, PathItem())
        setattr(item, method.lower(), _operation(operation, re.findall(r"\{(\w+)\}", address)))
    whole = OpenAPI(
        openapi="3.1.1",
        info=Info(title="The shop's API", version=__version__, description=ABOUT),
        servers=[Server(url="/")],
        paths=paths,
        components=Components(
            securitySchemes={_SECURITY: SecurityScheme(type="http", scheme="bearer")}
        ),
    )
    made = construct_open_api_with_schema_class(whole)
    return made.model_dump_json(by_alias=True, exclude_unset=True, exclude_none=True, indent=1)


def addresses() -> list[tuple[str, str, Operation]]:
    """Every address of the API with its method and what it asks."""
    rules = [one for one in current_app.url_map.iter_rules() if one.endpoint in OPERATIONS]
    return [
        (re.sub(r"<(\w+)>", r"{\1}", one.rule), method, OPERATIONS[one.endpoint])
        for one in rules
        for method in sorted((one.methods or set()) - {"HEAD", "OPTIONS"})
    ]


def _operation(operation: Operation, parts: list[str]) -> OpenApiOperation:
    return OpenApiOperation(
        operationId=operation.name,
        summary=operation.summary,
        description=operation.about or None,
        parameters=[
            *map(_part, parts),
            *_query(operation.query),
            *([_key()] if operation.keyed else []),
        ],
        requestBody=_uploaded(operation.upload) if operation.upload else _body(operation),
        responses=_responses(operation, bool(parts)),
        security=[{_SECURITY: [operation.scope]}] if operation.scope else [],
    )


def _part(name: str) -> Parameter:
    about, example = _PARTS[name]
    schema = {"type": "string", "minLength": 1, "maxLength": 500}
    return _parameter("path", name, schema, about, required=True, example=example)


def _query(model: type[BaseModel]) -> list[Parameter]:
    properties = model.model_json_schema().get("properties", {})
    return [
        _parameter("query", name, _one(schema), schema.get("description", ""))
        for name, schema in properties.items()
    ]


def _parameter(place: str, name: str, schema: dict[str, Any], about: str, **more: Any) -> Parameter:
    parts = {"in": place, "name": name, "schema": schema, "description": about, **more}
    return Parameter.model_validate(parts)


def _one(schema: dict[str, Any]) -> dict[str, Any]:
    """Give the schema of what may be left out: an address cannot say null."""
    some = schema.get("anyOf")
    return (
        next(one for one in some if one != {"type": "null"}) if isinstance(some, list) else schema
    )


def _key() -> Parameter:
    about = "A key of your own making for this one thing; or send it as key in the body."
    schema = {"type": "string", "pattern": KEY_PATTERN}
    example = '"8e03978e-40d5-43dd-bc93-6894a57f9324"'
    return _parameter("header", KEY_HEADER, schema, about, example=example)


def _body(operation: Operation) -> RequestBody | None:
    if operation.body is None:
        return None
    content = MediaType(
        media_type_schema=PydanticSchema(schema_class=operation.body),
        example=EXAMPLES[operation.name],
    )
    return RequestBody(required=True, content={"application/json": content})


def _uploaded(types: tuple[str, ...]) -> RequestBody:
    """A file as the body; in this version of the standard its type is all that is said of it."""
    return RequestBody(required=True, content={one: MediaType() for one in types})


def _responses(operation: Operation, named: bool) -> dict[str, Response | Reference]:
    responses: dict[str, Response | Reference] = {str(operation.status): _good(operation)}
    problems = _problems(operation, named)
    for code in sorted({one.status for one in problems}):
        titles = [one.title for one in problems if one.status == code]
        content = {MEDIA_TYPE: MediaType(media_type_schema=PydanticSchema(schema_class=Problem))}
        headers = {_HEADERS[code]: Header(param_schema=Schema(type="string"))}
        responses[str(code.value)] = Response(
            description="; or: ".join(titles),
            content=content,
            **({"headers": headers} if _HEADERS[code] else {}),
        )
    return responses


def _problems(operation: Operation, named: bool) -> list[ProblemType]:
    """Types of problem that an address can answer with."""
    ids = {"not-understood", "stranger", "bad-fields", "our-fault"}
    ids |= {"no-token", "not-allowed", "too-often"} if operation.scope else set()
    ids |= {"not-json"} if operation.body else set()
    ids |= {"too-large", "wrong-content"} if operation.body or operation.upload else set()
    ids |= {"no-records", "disk-full"} if operation.scope else set()
    ids |= {"no-key", "key-taken", "not-possible", "not-found"} if operation.keyed else set()
    ids |= {"not-found", "not-possible"} if named else set()
    return [one for one in TYPES.values() if one.id in ids]


def _good(operation: Operation) -> Response:
    if operation.file:
        text = Schema(type="string")
        said = {
            name: Header(description=about, param_schema=text)
            for name, about in operation.said.items()
        }
        more: dict[str, Any] = {"headers": said} if said else {}
        file = {operation.file: MediaType()}
        return Response(description=operation.summary, content=file, **more)
    if operation.answer is None:
        return Response(
            description=operation.summary,
            content={"application/json": MediaType(media_type_schema=Schema(type="object"))},
        )
    content = MediaType(media_type_schema=PydanticSchema(schema_class=operation.answer))
    return Response(description=operation.summary, content={"application/json": content})
