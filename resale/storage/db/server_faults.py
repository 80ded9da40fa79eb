"""Faults of a server that keeps the records, said in a sentence and without the password."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial

from sqlalchemy import URL, Engine, event
from sqlalchemy.engine import ExceptionContext
from sqlalchemy.exc import OperationalError, ProgrammingError

from resale.errors import ResaleError

SETTING = "records_url"
# https://www.postgresql.org/docs/current/errcodes-appendix.html
_LOCK_NOT_AVAILABLE = "55P03"


class ServerError(ResaleError):
    """The records on the server cannot be opened, or not now.

    Its sentence may go to any page or device. Why it is so names hosts, ports and users, and goes
    to the log and to whoever types commands, in ``str()`` of the fault.

    Parameters
    ----------
    why : str
        What the driver or the server said.
    """

    def __init__(self, what: str, *, where: str = "", remedy: str = "", why: str = "") -> None:
        super().__init__(what, where=where, remedy=remedy)
        self.why = why
        if why:
            self.args = (f"{self.sentence.removesuffix('.')} ({why}).",)


def say_faults_of(engine: Engine) -> None:
    """Let an engine say what no code of ours can mend, at the start and in the middle of a day."""
    event.listen(engine, "handle_error", partial(_in_words, engine.url))


@contextmanager
def reached(engine: Engine) -> Iterator[None]:
    """Say why the server does not let us do what the start needs.

    Raises
    ------
    ServerError
    """
    try:
        yield
    except (OperationalError, ProgrammingError) as fault:
        raise _shut(fault.orig, engine.url) from None


def _in_words(url: URL, context: ExceptionContext) -> ServerError | None:
    if context.is_pre_ping:
        # A connection that broke while nobody used it is made anew, and nobody notices.
        return None
    fault = context.original_exception
    if getattr(fault, "sqlstate", None) == _LOCK_NOT_AVAILABLE:
        return ServerError(
            "another desk holds the records and did not let go of them, so nothing was changed",
            remedy="wait a moment and do it again",
        )
    return _shut(fault, url) if context.is_disconnect or context.connection is None else None


def _shut(fault: BaseException | None, url: URL) -> ServerError:
    lines = [line.strip() for line in str(fault or "").splitlines() if line.strip()]
    why = (lines[0] if lines else "no reason given").rstrip(".")
    if url.password:
        why = why.replace(str(url.password), "***")
    return ServerError(
        "the records on the server cannot be opened",
        where=SETTING,
        remedy="look whether the server runs, and at the address, user and rights",
        why=why,
    )
