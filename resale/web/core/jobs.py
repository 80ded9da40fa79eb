"""Work that takes longer than a page may: done beside the server, with a page on how far it is.

Where several processes serve a shop, one does it, and each can say how far it is.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import cast

from flask import Blueprint, Flask, current_app, make_response, redirect, render_template, request
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import NotFound

from resale.errors import ResaleError
from resale.storage.between.works_under_way import BEAT, WorkTold, claim, forget_work, tell, told_of
from resale.web.core.shop import EXTENSION as SHOP
from resale.web.core.shop import Shop

screen = Blueprint("jobs", __name__, url_prefix="/work")
EXTENSION = "resale.work"
# Most work of a small shop is done before anybody has to look at a page about it.
PATIENCE = 0.4
KEPT = 40
_log = logging.getLogger("resale.web")

Step = Callable[[int, int, str], None]


@dataclass
class Job:
    """One piece of work.

    Attributes
    ----------
    key : str
        Asked for again while it runs, the same work is not begun twice.
    name : str
        What is done, for the head of its page.
    leads_to, back : str
        Addresses for afterwards, and for where it fails.
    trouble : str
        A sentence, once it failed.
    kept : str
        What another process needs to take up what came of it, where that is a little.
    """

    key: str
    name: str
    leads_to: str
    back: str
    done: int = 0
    of: int = 0
    words: str = "Begun"
    trouble: str = ""
    kept: str = ""
    thread: threading.Thread | None = None
    ended: threading.Event = field(default_factory=threading.Event)

    def step(self, done: int, of: int, words: str) -> None:
        """Say how far it is.

        Parameters
        ----------
        done : int
            Steps done so far.
        of : int
            Steps in all.
        words : str
            What is being done.
        """
        self.done, self.of, self.words = done, of, words

    def told(self, *, ended: bool) -> WorkTold:
        """Say it as other processes are told it."""
        return WorkTold(**{name: getattr(self, name) for name in _TOLD}, ended=ended)


_TOLD = {"key", "name", "leads_to", "back", "done", "of", "words", "trouble", "kept"}


class Works:
    """The pieces of work of a shop, one at a time for each key, whichever process does it.

    Parameters
    ----------
    folder : Path
        The shop's: other processes that serve it are told here how far work is.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._jobs: dict[str, Job] = {}
        self._lock = threading.Lock()

    def find(self, key: str) -> Job | None:
        """Find the last work of this key, also where another process does it."""
        own = self._jobs.get(key)
        if own is not None and not own.ended.is_set():
            return own
        told = told_of(self._folder, key, time.time())
        return own if told is None else _job_of(told)

    def begin(self, job: Job, work: Callable[[Step], None]) -> Job:
        """Begin, unless the same is being done already.

        Parameters
        ----------
        job : Job
            With the key that tells whether the same is being done.
        work : Callable[[Step], None]
            Runs in a thread of its own; it is given the function that says how far it is.

        Returns
        -------
        Job
            The one that runs already, where there is one of this key.
        """
        with self._lock:
            known = self._jobs.get(job.key)
            if known is not None and not known.ended.is_set():
                return known
            told = claim(self._folder, job.told(ended=False), time.time())
            if told is not None:
                return _job_of(told)
            self._jobs.pop(job.key, None)
            for key in [k for k, one in self._jobs.items() if one.ended.is_set()][:-KEPT]:
                del self._jobs[key]
            self._jobs[job.key] = job
        job.thread = threading.Thread(target=self._done, args=(job, work), daemon=True)
        job.thread.start()
        return job

    def forget(self, key: str) -> None:
        """Forget work whose outcome was used up."""
        self._jobs.pop(key, None)
        forget_work(self._folder, key)

    def wait(self) -> None:
        """Wait until all is done that this process does."""
        for job in tuple(self._jobs.values()):
            if job.thread is not None:
                job.thread.join()

    def _done(self, job: Job, work: Callable[[Step], None]) -> None:
        over = threading.Event()
        telling = threading.Thread(target=self._tell, args=(job, over), daemon=True)
        telling.start()
        try:
            work(job.step)
        except ResaleError as fault:
            job.trouble = fault.sentence
        except Exception:
            _log.exception("fault while %s", job.name)
            job.trouble = (
                "Something went wrong on our side. Nothing that was saved is lost; the log says "
                "more."
            )
        finally:
            over.set()
            telling.join()
            job.ended.set()

    def _tell(self, job: Job, over: threading.Event) -> None:
        """Tell the other processes, beside the work: it may be holding the records."""
        while not over.wait(BEAT):
            tell(self._folder, job.told(ended=False), time.time())
        tell(self._folder, job.told(ended=True), time.time())


def _job_of(told: WorkTold) -> Job:
    job = Job(**{name: getattr(told, name) for name in _TOLD})
    if told.ended:
        job.ended.set()
    return job


def init_app(app: Flask) -> None:
    """Give an application its works."""
    shop = cast("Shop", app.extensions[SHOP])
    app.extensions[EXTENSION] = Works(shop.settings.data_folder)
    app.register_blueprint(screen)


def works() -> Works:
    """The works of the application that answers now."""
    return cast("Works", current_app.extensions[EXTENSION])


def begin(job: Job, work: Callable[[Step], None]) -> ResponseReturnValue:
    """Begin work and lead on to what came of it, or to the page on how far it is.

    Parameters
    ----------
    job : Job
        With the addresses for afterwards.
    work : Callable[[Step], None]
        Runs in a thread of its own; it is given the function that says how far it is.
    """
    job = works().begin(job, work)
    job.ended.wait(PATIENCE)
    if job.ended.is_set() and not job.trouble:
        return redirect(job.leads_to, 303)
    return redirect(f"/work/{job.key}", 303)


@screen.get("/<key>")
def look(key: str) -> ResponseReturnValue:
    """Say how far a piece of work is; once it is done, lead on to what came of it."""
    job = works().find(key)
    if job is None:
        raise NotFound
    live = request.headers.get("HX-Request") == "true"
    if job.ended.is_set() and not job.trouble:
        if live:
            return make_response("", 200, {"HX-Redirect": job.leads_to})
        return redirect(job.leads_to, 303)
    page = render_template("core/work/line.html" if live else "core/work/work.html", job=job)
    return make_response(page, 422 if job.trouble and not live else 200)
