"""What is made once a run and not once an application: templates, addresses, statements, tables.

Nearly every test of a screen has an application of its own; what these caches hold is the same for
all of them, and made anew it took half of their time.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any, ClassVar

import pytest
from flask import Flask
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from sqlalchemy import Engine
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite
from sqlalchemy.util import LRUCache
from werkzeug.routing import Rule

from resale.garments.rulebook.rule_book import RuleBook
from resale.storage.db import database
from resale.storage.models import book_archive


class _InMemory(BytecodeCache):
    """Compiled templates by name and digest of their source: a changed one is compiled again."""

    codes: ClassVar[dict[str, bytes]] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        if bucket.key in self.codes:
            bucket.bytecode_from_string(self.codes[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        self.codes[bucket.key] = bucket.bytecode_to_string()


def compile_once(patch: pytest.MonkeyPatch) -> None:
    """Let all applications of this process share what Jinja and Werkzeug compile."""
    options = {**Flask.jinja_options, "bytecode_cache": _InMemory()}
    patch.setattr(Flask, "jinja_options", options)
    _statements_once(patch)
    _books_once(patch)
    _steps_once(patch)
    compiled: Callable[..., Any] | None = getattr(Rule, "_compile_builder", None)
    if compiled is None:
        # Another release of Werkzeug: the tests are slower, and true.
        return
    known: dict[tuple[Any, ...], Any] = {}

    def builder(rule: Any, append_unknown: bool = True) -> Any:
        # What it gives takes the rule as an argument, and hangs on nothing else of it than this.
        defaults = tuple(sorted((rule.defaults or {}).items()))
        key = (rule.rule, tuple(rule._trace), defaults, append_unknown)
        if key not in known:
            known[key] = compiled(rule, append_unknown)
        return known[key]

    patch.setattr(Rule, "_compile_builder", builder)
    _addresses_once(patch)


def _addresses_once(patch: pytest.MonkeyPatch) -> None:
    """Let applications of the same converters share how an address falls into parts."""
    parse: Callable[..., Any] | None = getattr(Rule, "_parse_rule", None)
    if parse is None:
        return
    known: dict[tuple[Any, ...], tuple[list[Any], list[Any], dict[str, Any]]] = {}

    def parsed(rule: Any, words: str) -> list[Any]:
        key = (words, *rule.map.converters.values())
        if key not in known:
            mine, rule._trace = rule._trace, []
            parts = list(parse(rule, words))
            known[key] = (parts, rule._trace, dict(rule._converters))
            rule._trace = mine
        parts, trace, converters = known[key]
        rule._trace += trace
        rule._converters |= converters
        rule.arguments |= set(converters)
        return parts

    patch.setattr(Rule, "_parse_rule", parsed)


def _statements_once(patch: pytest.MonkeyPatch) -> None:
    """Let all files of records share what SQLAlchemy compiles: their dialects are all alike."""
    known = LRUCache(2_000)
    create = database.create_engine

    def created(*args: Any, **more: Any) -> Engine:
        engine = create(*args, **more)
        if hasattr(engine, "_compiled_cache"):
            engine._compiled_cache = known
        return engine

    patch.setattr(database, "create_engine", created)
    patch.setattr(SQLiteDialect_pysqlite, "__eq__", lambda one, other: type(one) is type(other))
    patch.setattr(SQLiteDialect_pysqlite, "__hash__", lambda _: hash(SQLiteDialect_pysqlite))


def _books_once(patch: pytest.MonkeyPatch) -> None:
    """Write a rule book out once, for all shops that keep a copy."""
    known: dict[str, str] = {}
    written = book_archive._content

    def content(book: RuleBook) -> str:
        if book.fingerprint not in known:
            known[book.fingerprint] = written(book)
        return known[book.fingerprint]

    patch.setattr(book_archive, "_content", content)


def _steps_once(patch: pytest.MonkeyPatch) -> None:
    """Take the steps of new records in a file once; further ones begin with a copy of that file."""
    made: list[bytes] = []
    take = database.bring_up_to_date

    def taken(engine: Engine, folder: Path, schema: str = "") -> None:
        place = Path(engine.url.database or "")
        fresh = not schema and not place.exists()
        if fresh and made:
            with suppress(OSError), NamedTemporaryFile(dir=folder) as whole:
                whole.write(made[0])
                whole.flush()
                # Of two who begin at once the second finds the first one's.
                place.hardlink_to(whole.name)
                mask = os.umask(0o077)
                os.umask(mask)
                place.chmod(0o666 & ~mask)
        take(engine, folder, schema)
        if fresh and not made:
            with engine.connect() as one:
                made.append(one.connection.driver_connection.serialize())  # type: ignore[union-attr]

    patch.setattr(database, "bring_up_to_date", taken)
