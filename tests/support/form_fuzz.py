"""Every form of the program sent with what nobody should send, by everybody who can come.

Forms are found twice: in the pages, as a browser would, and in the map of addresses, so that a
form which no page of this shop shows just now is sent too. One seed gives one run.
"""

from __future__ import annotations

import io
import random
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser
from time import monotonic
from urllib.parse import quote_plus, urlsplit

from addresses import PARTS
from flask import Flask
from flask.testing import FlaskClient
from signed_in import signed_in, stranger
from werkzeug.exceptions import HTTPException
from werkzeug.routing import Rule

from resale.web.core.jobs import EXTENSION as WORKS

NUMBERS = (
    "9223372036854775808",
    "-9223372036854775809",
    "18446744073709551616",
    "2147483648",
    "-1",
    "0",
    "1e308",
    "1e-320",
    "1e999",
    "-0.0",
    "nan",
    "-inf",
    "Infinity",
    "0x10",
    "1_000",
    "٣",
    "½",
    "1,5",
    "1.2.3",
    "9" * 400,
    "0." + "0" * 60 + "1",
    "1e9999999999",
)
DAYS = (
    "0001-01-01",
    "9999-12-31",
    "2026-02-30",
    "0000-00-00",
    "10000-01-01",
    "2026-W01-1",
    "20260101",
    "2026-03-29T02:30",
    "31/03/2026",
)
TEXTS = (
    "", " ", "\0", "a\0b", "\ud800", "x\udfff", "\u202e", "\ufeff", "=1+1", "<script>", "{{7*7}}",
    "%s%n", "../../etc", "C:\\con", "\r\n", "\x1b[0m", "e\u0301" * 50, "\U0001f9e5" * 100, "[]",
    "null", "true", "a" * 300, "b" * 5_000, "z" * 70_000, "Q-99999", "Q-00001", "'", '"', "*",
)  # fmt: skip
NASTY = (*NUMBERS, *DAYS, *TEXTS)
FIELDS = {
    "amount": "12", "price": "12", "day": "2026-03-01", "from": "2026-01-01", "to": "2026-12-31",
    "until": "2026-12-31", "level": "6.5", "limit": "100", "page": "1", "start": "1",
    "before": "9", "person": "1", "pick": "Q-00002", "number": "Q-00002", "item": "Q-00001",
    "items": "Q-00001 Q-00002", "name": "Ombrick", "note": "x", "why": "x", "reason": "x",
    "key": "0123456789abcdef", "what": "sold", "hold": "mould", "shown": "1", "answer": "1",
    "model": "", "role": "sorter", "may": "read", "share": "50", "signal": "pilling", "option": "",
    "next": "/", "password": "x", "again": "x", "never": "1", "said": "x", "count": "1",
    "kind": "jacket", "tier": "sound", "order": "moved", "stock": "a4", "done": "x", "old": "x",
    "cm": "400", "rail": "400", "wage": "24", "gone": "1", "photos": "1", "added": "1", "by": "x",
}  # fmt: skip
"""Fields that some form reads: for addresses whose form no page of this shop shows."""
FILES = (b"", b"\0" * 90, b"PK\3\4 no", b"a,b\n1,2\n", b"\xff\xd8\xff", b"kind;price\n\xe9")
FILE_NAMES = ("a.csv", "b.xlsx", "../c.jpg", "", "d\n.csv")
ENCODED = "application/x-www-form-urlencoded"
ROLES = ("owner", "lead", "sorter", "stranger")
HUNG = 5.0
"""Seconds after which an answer counts as none."""


@dataclass
class Form:
    """A form as a page has it.

    Attributes
    ----------
    fields : list of (str, str)
        What a browser would send if nobody touched it.
    files : list of str
        Fields that take a file.
    """

    method: str
    action: str
    fields: list[tuple[str, str]] = field(default_factory=list)
    files: list[str] = field(default_factory=list)


class _Forms(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self._page, self._open, self._select = page, None, ""
        self.found: list[Form] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            method = said.get("method", "get").upper()
            self._open = Form(method, said.get("action") or self._page)
            self.found.append(self._open)
        elif self._open is not None and tag in {"input", "button", "textarea", "select"}:
            self._field(tag, said)
        elif self._open is not None and tag == "option" and self._select:
            self._open.fields.append((self._select, said.get("value", "")))

    def _field(self, tag: str, said: dict[str, str]) -> None:
        assert self._open is not None
        name = said.get("name", "")
        self._select = name if tag == "select" else ""
        if said.get("formaction"):
            self.found.append(Form("POST", said["formaction"], list(self._open.fields)))
        if name and said.get("type") == "file":
            self._open.files.append(name)
        elif name and tag != "select":
            self._open.fields.append((name, said.get("value", "")))

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = None
        if tag == "select":
            self._select = ""


@dataclass
class Told:
    """What came of it.

    Attributes
    ----------
    statuses : Counter of int
    faults : list of str
        Requests that were answered with a fault of the program, each to be sent again.
    hung : list of str
        Those that took longer than anybody waits.
    asked : set of (str, str)
        Addresses with the role that asked.
    """

    statuses: Counter[int] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    hung: list[str] = field(default_factory=list)
    asked: set[tuple[str, str]] = field(default_factory=set)


class FormFuzz:
    """Sends forms to an application.

    Parameters
    ----------
    seldom : sequence of str
        Endpoints of long work, sent a few times only.
    """

    def __init__(self, app: Flask, seed: int, seldom: Sequence[str] = ()) -> None:
        # What is looked at is what lies behind the token and the count of guesses.
        app.config.update(WTF_CSRF_ENABLED=False, RATELIMIT_ENABLED=False)
        self.app, self.draw = app, random.Random(seed)  # noqa: S311 - no secret is drawn
        self.seldom = Counter(dict.fromkeys(seldom, 3))
        self.clients: dict[str, FlaskClient] = {}
        self.told = Told()
        self.forms: dict[str, list[Form]] = {}

    def run(self, requests: int) -> Told:
        """Send so many requests, an equal share to each address."""
        rules = self._rules()
        for sent in range(requests):
            if sent % 400 == 0:
                self._look_for_forms(rules)
            rule = rules[sent % len(rules)]
            if rule.endpoint in self.seldom:
                self.seldom[rule.endpoint] -= 1
                if self.seldom[rule.endpoint] < 0:
                    continue
            self._send(rule)
        self.app.extensions[WORKS].wait()
        self.told.faults += [
            f"work {job.name}: {job.trouble}"
            for job in self.app.extensions[WORKS]._jobs.values()
            if job.trouble.startswith("Something went wrong")
        ]
        return self.told

    # ------------------------------------------------------------ what is there
    def _rules(self) -> list[Rule]:
        rules = [
            rule
            for rule in self.app.url_map.iter_rules()
            if rule.endpoint != "static" and not rule.endpoint.startswith("api.")
        ]
        return sorted(rules, key=lambda one: (one.rule, sorted(one.methods or ())))

    def _look_for_forms(self, rules: Sequence[Rule]) -> None:
        owner = self._client("owner")
        for rule in rules:
            if "GET" not in (rule.methods or ()) or rule.endpoint in self.seldom:
                continue
            answer = owner.get(self._address(rule, good=True))
            if answer.mimetype == "text/html" and answer.status_code == 200:
                for form in _found(answer.request.path, answer.get_data(as_text=True)):
                    endpoint = self._endpoint_of(form)
                    known = self.forms.setdefault(endpoint, [])
                    if endpoint and len(known) < 6:
                        known.append(form)
            answer.close()

    def _endpoint_of(self, form: Form) -> str:
        map_ = self.app.url_map.bind("localhost")
        try:
            return str(map_.match(urlsplit(form.action).path, method=form.method)[0])
        except HTTPException:
            return ""

    def _client(self, role: str) -> FlaskClient:
        """A browser of that role; a fresh one where the last was signed out on the way."""
        known = self.clients.get(role)
        if known is None or (role != "stranger" and known.get("/you").status_code != 200):
            known = stranger(self.app) if role == "stranger" else signed_in(self.app, role)  # type: ignore[arg-type]
            self.clients[role] = known
        return known

    # ------------------------------------------------------------ what is sent
    def _send(self, rule: Rule) -> None:
        method = self.draw.choice(sorted({"GET", "POST"} & set(rule.methods or ()) or {"GET"}))
        role = self.draw.choices(ROLES, (6, 2, 1, 1))[0]
        client = self._client(role)
        forms = self.forms.get(rule.endpoint, [])
        form = self.draw.choice(forms) if forms and self.draw.random() < 0.9 else None
        path = self._address(rule, good=self.draw.random() < 0.7)
        if form is not None and self.draw.random() < 0.8:
            path = form.action
        pairs = list(self._spoilt(form.fields if form else self._guessed()))
        said = f"{role} {method} {path[:200]!r} {[(n[:40], v[:60]) for n, v in pairs]!r}"
        files = (form.files if form else []) or self._some_file()
        began = monotonic()
        if method == "GET":
            answer = client.get(path, query_string=_encoded(pairs), headers=self._headers())
        elif files:
            data = {_plain(name) or "x": [_plain(value)] for name, value in pairs}
            sent = {**data, **{name: [self._file()] for name in files}}
            answer = client.post(path, data=sent, headers=self._headers())
        else:
            answer = client.post(
                path, data=_encoded(pairs), content_type=ENCODED, headers=self._headers()
            )
        self.told.statuses[answer.status_code] += 1
        self.told.asked.add((rule.endpoint, role))
        if monotonic() - began > HUNG:
            self.told.hung.append(f"{monotonic() - began:.0f} s {said}")
        if answer.status_code >= 500:
            self.told.faults.append(f"{answer.status_code} {said}")
        answer.close()

    def _headers(self) -> dict[str, str]:
        return {"HX-Request": "true"} if self.draw.random() < 0.2 else {}

    def _guessed(self) -> list[tuple[str, str]]:
        return [(name, FIELDS[name]) for name in self.draw.sample(sorted(FIELDS), 12)]

    def _spoilt(self, fields: Sequence[tuple[str, str]]) -> Iterator[tuple[str, str]]:
        """Some fields left out, some said twice, one to three of them nasty."""
        names = [name for name, _ in fields]
        nasty = set(self.draw.sample(names, min(len(names), self.draw.randint(1, 3))))
        for name, value in fields:
            luck = self.draw.random()
            if luck < 0.05 and name not in nasty:
                continue
            yield name, self.draw.choice(NASTY) if name in nasty else value
            if luck > 0.97:
                yield name, self.draw.choice(NASTY)
        if self.draw.random() < 0.1:
            yield self.draw.choice(NASTY)[:200] or "x", self.draw.choice(NASTY)

    def _some_file(self) -> list[str]:
        return [self.draw.choice(("file", "photo", "note"))] if self.draw.random() < 0.05 else []

    def _file(self) -> tuple[io.BytesIO, str]:
        return io.BytesIO(self.draw.choice(FILES)), self.draw.choice(FILE_NAMES)

    def _address(self, rule: Rule, *, good: bool) -> str:
        parts = {name: PARTS[name] for name in rule.arguments}
        if not good and parts:
            spoilt = self.draw.choice(sorted(parts))
            parts[spoilt] = _plain(self.draw.choice(NASTY)[:300])
        path = rule.rule
        for name in rule.arguments:
            path = _filled(path, name, parts[name])
        return path


def _filled(path: str, name: str, value: str) -> str:
    """Put a value into a blank of an address, as somebody would who writes addresses by hand."""
    start = path.index("<")
    while not path[start : path.index(">", start)].endswith(name):
        start = path.index("<", start + 1)
    end = path.index(">", start) + 1
    # A question mark or a cross would end the path.
    plain = value.replace("?", "%3F").replace("#", "%23").replace("<", "%3C").replace(">", "%3E")
    return f"{path[:start]}{plain}{path[end:]}"


def _encoded(pairs: Sequence[tuple[str, str]]) -> str:
    """Fields as bytes of any kind: half of a pair of surrogates too, which no text may hold."""
    return "&".join(
        f"{quote_plus(name.encode(errors='surrogatepass'))}="
        f"{quote_plus(value.encode(errors='surrogatepass'))}"
        for name, value in pairs
    )


def _plain(text: str) -> str:
    return text.encode(errors="ignore").decode()


def _found(page: str, text: str) -> list[Form]:
    reader = _Forms(page)
    reader.feed(text)
    return reader.found
