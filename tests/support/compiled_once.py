"""Templates and addresses that are compiled once a run and not once an application.

Nearly every test of a screen has an application of its own; what these two caches hold is the
same for all of them, and made anew it took half of their time.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

import pytest
from flask import Flask
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from werkzeug.routing import Rule


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
