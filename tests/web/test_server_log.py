"""What the server says of its queue: many that wait, not every tap that does."""

from __future__ import annotations

import logging

from resale.web.http_server import A_MINUTE, MANY_WAITING, LongQueue


def _line(waiting: int, at: float) -> logging.LogRecord:
    # As waitress 3 writes it in ThreadedTaskDispatcher.add_task.
    said = ("waitress.queue", logging.WARNING, "task.py", 1, "Task queue depth is %d", (waiting,))
    record = logging.LogRecord(*said, None)
    record.created = at
    return record


def test_a_short_queue_is_no_news_and_a_long_one_is_said_once_a_minute() -> None:
    said = LongQueue()
    assert not said.filter(_line(1, 0.0)) and not said.filter(_line(MANY_WAITING - 1, 1.0))
    first = _line(MANY_WAITING, 2.0)
    assert said.filter(first)
    assert first.getMessage() == f"{MANY_WAITING} requests wait to be answered"
    assert not said.filter(_line(MANY_WAITING + 5, 3.0))
    assert said.filter(_line(MANY_WAITING + 5, 3.0 + A_MINUTE))
