"""What each address of the API asks and answers, said once, beside its view."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import wraps
from typing import Any, Literal

from flask import Response
from flask.typing import ResponseReturnValue
from pydantic import BaseModel, ConfigDict

from resale.web.api.parsing import read_body, read_query

Scope = Literal["read", "save", "sell", "clear"]
View = Callable[..., BaseModel | Response]


class NoQuery(BaseModel):
    """An address that takes nothing after a question mark."""

    model_config = ConfigDict(extra="forbid")


@dataclass(frozen=True)
class Operation:
    """One address with one method.

    Attributes
    ----------
    scope : str or None
        What a token must be let do; None where nobody needs one.
    answer : type of BaseModel or None
        None for the document itself.
    keyed : bool
        Whether it changes the records, so that a key makes it safe to send again.
    file : str
        Type of the file that it answers with, where it is one.
    said : dict of str to str
        Headers of its own that a good answer may have, with what they say.
    upload : tuple of str
        Types of the file that it takes as its body, where it takes one.
    """

    name: str
    summary: str
    about: str
    scope: Scope | None
    answer: type[BaseModel] | None
    body: type[BaseModel] | None = None
    query: type[BaseModel] = NoQuery
    status: int = 200
    keyed: bool = False
    file: str = ""
    said: Mapping[str, str] = field(default_factory=dict)
    upload: tuple[str, ...] = ()


OPERATIONS: dict[str, Operation] = {}
"""By the name of the endpoint."""


def operation(
    scope: Scope | None,
    answer: type[BaseModel] | None,
    **more: Any,
) -> Callable[[View], Callable[..., ResponseReturnValue]]:
    """Let a view be asked with checked models and answer with one.

    Its docstring is the summary; the view gets `body` and `query` where it asks for them.

    Parameters
    ----------
    scope : Scope or None
        What a token must be let do; None where nobody needs one.
    answer : type[BaseModel] or None
        Model of what is answered; None where the view gives a file.
    **more : Any
        Further attributes of `Operation`.
    """

    def mark(view: View) -> Callable[..., ResponseReturnValue]:
        summary, _, about = (view.__doc__ or "").strip().partition("\n")
        about = " ".join(about.split())
        name = view.__name__
        described = Operation(name, summary.rstrip("."), about, scope, answer, **more)
        OPERATIONS[f"api.{name}"] = described

        @wraps(view)
        def respond(**parts: Any) -> ResponseReturnValue:
            query = read_query(described.query)
            if described.query is not NoQuery:
                parts["query"] = query
            if described.body is not None:
                parts["body"] = read_body(described.body)
            result = view(**parts)
            return result if isinstance(result, Response) else as_json(result, described.status)

        return respond

    return mark


def as_json(result: BaseModel, status: int = 200) -> Response:
    """Write a model as an answer that nobody on the way keeps.

    Parameters
    ----------
    result : BaseModel
        A checked model.
    status : int, optional
        Of HTTP.
    """
    answer = Response(result.model_dump_json(), status, mimetype="application/json")
    answer.headers["Cache-Control"] = "no-store"
    return answer
