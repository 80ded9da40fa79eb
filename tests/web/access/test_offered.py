"""No page offers what its reader's role may not do: every form and link, page by page."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import urljoin, urlsplit

import pytest
from flask import Flask
from signed_in import Lay, signed_in
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect

from resale.storage.people.people import RANK, Role
from resale.web import create_app
from resale.web.access.permissions import is_open, permission_for


class _Doors(HTMLParser):
    """Links and forms of a page, as (method, address)."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.doors: list[tuple[str, str]] = []
        self.method = "GET"
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = dict(attrs)
        if tag == "a" and has.get("href"):
            self.doors.append(("GET", str(has["href"])))
        elif tag == "form":
            self.method = str(has.get("method") or "get").upper()
            self.doors.append((self.method, str(has.get("action") or "")))
        elif has.get("formaction"):
            method = str(has.get("formmethod") or self.method).upper()
            self.doors.append((method, str(has["formaction"])))
        for name in ("hx-get", "hx-post"):
            if has.get(name):
                self.doors.append((name[3:].upper(), str(has[name])))


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory, copy_of_demo: Lay) -> Flask:
    folder: Path = copy_of_demo(tmp_path_factory.mktemp("shop"))
    return create_app(folder, demo=True)


def endpoint_of(app: Flask, method: str, path: str) -> str:
    """Name of what answers there; empty where nothing does."""
    try:
        return str(app.url_map.bind("localhost").match(path, method)[0])
    except RequestRedirect as elsewhere:
        return endpoint_of(app, method, urlsplit(elsewhere.new_url).path)
    except HTTPException:
        return ""


def pages(app: Flask, role: Role, of_each: int) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Read every page that can be reached from the first, so many of each pattern."""
    client: Any = signed_in(app, role)
    waiting, seen, of_pattern = ["/"], {"/"}, dict[str, int]()
    while waiting:
        path = waiting.pop(0)
        answer = client.get(path)
        if answer.status_code != 200 or answer.mimetype != "text/html":
            continue
        doors = [(method, urljoin(path, address)) for method, address in _Doors(answer.text).doors]
        yield path, doors
        for method, address in doors:
            step = urlsplit(address)
            endpoint = endpoint_of(app, method, step.path)
            plain = step.path + (f"?{step.query}" if step.query else "")
            if method != "GET" or step.netloc or not endpoint or plain in seen:
                continue
            if endpoint in {"static", "sign_in.sign_out"} or "." not in endpoint:
                continue
            if of_pattern.get(endpoint, 0) < of_each:
                of_pattern[endpoint] = of_pattern.get(endpoint, 0) + 1
                seen.add(plain)
                waiting.append(plain)


@pytest.mark.long
@pytest.mark.parametrize(("role", "of_each"), [("sorter", 2), ("lead", 2)])
def test_what_a_role_may_not_do_is_not_offered_to_it(demo: Flask, role: Role, of_each: int) -> None:
    """Pages of one pattern are alike."""
    refused, read = set(), 0
    for path, doors in pages(demo, role, of_each):
        read += 1
        for method, address in doors:
            step = urlsplit(address)
            endpoint = endpoint_of(demo, method, step.path)
            if step.netloc or not endpoint or is_open(endpoint):
                continue
            if RANK[permission_for(endpoint).least] > RANK[role]:
                refused.add((re.sub(r"\d+", "#", path.split("?")[0]), method, endpoint))
    assert read > 20
    assert not refused, "\n".join(map(str, sorted(refused)))
