"""Counts what a database is asked: transactions that write, and statements."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from sqlalchemy import Engine, event


@dataclass
class Counted:
    """What was asked while it was counted."""

    begun: int = 0
    writing: int = 0
    statements: list[str] = field(default_factory=list)


@contextmanager
def counted(records: Engine) -> Iterator[Counted]:
    found = Counted()

    def begin(connection: object) -> None:
        found.begun += 1
        options = connection.get_execution_options()  # type: ignore[attr-defined]
        found.writing += bool(options.get("writes", False))

    def run(_c: object, _cursor: object, statement: str, *_: object) -> None:
        if not statement.startswith(("BEGIN", "PRAGMA")):
            found.statements.append(statement)

    event.listen(records, "begin", begin)
    event.listen(records, "before_cursor_execute", run)
    try:
        yield found
    finally:
        event.remove(records, "begin", begin)
        event.remove(records, "before_cursor_execute", run)
