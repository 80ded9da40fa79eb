"""Whatever is sent, the answer is one that the document promises, and never a fault of ours.

Schemathesis draws requests from the OpenAPI document, good ones and bad ones; items that speak of
real signs stand in for some of their bodies, so that every reader of free text is reached.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
import schemathesis
from api_shop import V1, token_of
from flask import Flask
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from openapi_spec_validator import OpenAPIV31SpecValidator
from schemathesis.checks import not_a_server_error
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi import checks as promised

from resale.garments.rulebook.rule_book import load_rule_book
from resale.web.api.operations import OPERATIONS

BOOK = load_rule_book()
# Data that the document allows may still be no item of the rule book, so acceptance is no promise.
CHECKS = [
    not_a_server_error,
    promised.status_code_conformance,
    promised.content_type_conformance,
    promised.response_headers_conformance,
    promised.response_schema_conformance,
    promised.negative_data_rejection,
]
QUICK, LONG = 600, 10_000
# An address without a parameter has too few different questions for an equal share.
SPARE = 1.25
OFTEN_TYPED = [
    *(
        "14 in 1.25 in",
        "14",
        "9/1 in",
        "1e9",
        "0",
        "-1",
        "½ in",
        "12 mm",
        "1.2cm",
        '4 3/4"',
        "40 %",
    ),
    *("12 oz", "320 gsm", "100% wool", "Shell: 65% polyester 35% cotton", "50% ?"),
    *("80 % Wolle 20 % Kaninchenfell", "none", "hidden 2", "seen_5", "seen 6", "?", "", "\t"),
]


def typed() -> st.SearchStrategy[str]:
    """What hands type: what a reader takes, the same with a slip in it, and anything at all."""
    good = st.sampled_from(OFTEN_TYPED)
    slips = st.tuples(good, st.text(max_size=3), good).map("".join)
    return good | slips | st.text(max_size=60) | st.text("0123456789/., %½-–inmc\"'", max_size=20)


@st.composite
def real_items(draw: st.DrawFn) -> dict[str, Any]:
    """Items of a kind that there is, with readings of its signs."""
    kind = draw(st.sampled_from(list(BOOK.kinds.values())))
    measured = [one for one in kind.signals if one.measure]
    readings = {}
    for signal in draw(st.lists(st.sampled_from(kind.signals), max_size=8, unique_by=id)):
        readings[signal.id] = draw(st.sampled_from(signal.option_ids))
    # More than one reading from free hand, and hardly an item would be good as a whole.
    for signal in draw(st.lists(st.sampled_from(measured or kind.signals), max_size=1)):
        readings[signal.id] = draw(typed())
    item = {"kind": kind.id, "readings": readings}
    return item | draw(
        st.fixed_dictionaries({}, optional={"label": st.text(max_size=30), "note": typed()})
    )


def real_bodies(label: str) -> st.SearchStrategy[Any]:
    # Some keys come again, most are new.
    keys = st.sampled_from("ab") | st.uuids().map(str) | st.uuids().map(str)
    keyed = keys.map(lambda key: {"key": key})
    if label.endswith("/values"):
        return st.lists(real_items(), min_size=1, max_size=4).map(lambda many: {"items": many})
    if label.endswith("/events"):
        what = st.sampled_from(["sold", "put_out", "returned", "ticketed", "marked_down"])
        more = {"amount_minor": st.integers(1, 9_000), "note": typed()}
        events = st.fixed_dictionaries({"what": what}, optional=more)
        return st.builds(lambda *parts: parts[0] | parts[1], events, keyed)
    if label.endswith("/holds"):
        told = st.fixed_dictionaries({"hold": st.sampled_from(["mould", "pests", "no such"])})
        return st.builds(lambda *parts: parts[0] | parts[1], told, keyed)
    if label.endswith("/clear"):
        word = st.fixed_dictionaries({"lead": st.just("Leopold"), "reason": typed()})
        return st.builds(lambda *parts: parts[0] | parts[1], word, keyed)
    if label.endswith("/items"):
        return st.builds(lambda *parts: parts[0] | parts[1], real_items(), keyed)
    return real_items()


@st.composite
def cases(draw: st.DrawFn, operation: Any) -> schemathesis.Case:
    how = draw(st.sampled_from(["good", "bad", "real", "real"]))
    mode = GenerationMode.NEGATIVE if how == "bad" else GenerationMode.POSITIVE
    case = draw(operation.as_strategy(generation_mode=mode))
    if how == "real":
        if case.method == "POST":
            case.body = draw(real_bodies(operation.label))
            # The body has a key; another one in the header would be refused.
            case.headers.pop("Idempotency-Key", None)
        if case.path_parameters and "number" in case.path_parameters:
            case.path_parameters["number"] = str(draw(st.integers(1, 60)))
    return case


def fuzz(app: Flask, requests: int) -> Counter[int]:
    """Send so many requests, an equal share to each address; count the answers by status."""
    headers = {"Authorization": f"Bearer {token_of(app, 'Fuzz')}"}
    schema = schemathesis.openapi.from_wsgi(f"{V1}/openapi.json", app)
    operations = [found.ok() for found in schema.get_all_operations()]
    told: Counter[int] = Counter()
    for place, operation in enumerate(operations):

        def send(case: schemathesis.Case) -> None:
            answer = case.call(headers=headers)
            told[answer.status_code] += 1
            case.validate_response(answer, checks=CHECKS)

        share = requests // len(operations)
        drawn = given(case=cases(operation))(send)
        settings(
            max_examples=share,
            phases=[Phase.generate],
            database=None,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        )(seed(place)(drawn))()
    return told


def test_the_document_is_openapi_3_1(app: Flask) -> None:
    """The OpenAPI Initiative's own schema of 3.1, by openapi-spec-validator."""
    document = app.test_client().get(f"{V1}/openapi.json").json
    assert document["openapi"].startswith("3.1.")
    OpenAPIV31SpecValidator(document).validate()
    said = {way["operationId"] for path in document["paths"].values() for way in path.values()}
    assert said == {one.name for one in OPERATIONS.values()}


@pytest.mark.long
def test_whatever_is_sent_is_answered_as_promised(app: Flask) -> None:
    told = fuzz(app, QUICK)
    assert 500 not in told
    assert {200, 201, 422} <= set(told)


@pytest.mark.long
def test_ten_thousand_requests_meet_no_fault_of_ours(app: Flask) -> None:
    told = fuzz(app, int(LONG * SPARE))
    print(dict(told))
    assert sum(told.values()) >= LONG
    assert 500 not in told
