"""Commands of the shop in processes of their own, started in a moment.

Loading the program takes seconds. So one process of this run loads it once, and forks a child for
each command: a process like any other, with an environment, an output and an end of its own, that
can be killed at any moment.
"""

from __future__ import annotations

import atexit
import json
import os
import select
import signal
import socket
import subprocess
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from functools import cache, cached_property
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO

ROOT = Path(__file__).parents[2]
MAIN = "from resale.cli.main import main; main()"
# Beside each child stays a keeper, which tells how it ended: whoever asks is not its parent.
_NURSERY = """
import gc, importlib, json, os, signal, socket, sys, time
import waitress, resale.web
from resale.cli.main import COMMANDS, main
for place in COMMANDS.values():
    importlib.import_module(place.module)
gc.freeze()
signal.signal(signal.SIGCHLD, signal.SIG_IGN)
orders = socket.socket(fileno=int(sys.argv[1]))
while True:
    heard, pipes, _, _ = socket.recv_fds(orders, 65536, 3)
    while heard and not heard.endswith(b"\\n"):
        heard += orders.recv(65536)
    if not heard:
        break
    if not os.fork():
        break
    for pipe in pipes:
        os.close(pipe)
orders.close()
if heard:
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    out, err, told = pipes
    child = os.fork()
    if child:
        os.close(out)
        os.close(err)
        os.write(told, b"%d\\n" % child)
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        os.write(told, b"%d\\n" % code)
        os._exit(0)
    os.close(told)
    said = json.loads(heard)
    for pipe, place in ((os.open(os.devnull, os.O_RDONLY), 0), (out, 1), (err, 2)):
        os.dup2(pipe, place)
        os.close(pipe)
    sys.stdout = os.fdopen(1, "w", 1, encoding="utf-8")
    os.environ.clear()
    os.environ.update(said["environment"])
    time.tzset()
    os.chdir(said["folder"])
    sys.argv = ["resale", *said["words"]]
    if said["code"]:
        exec(compile(said["code"], "<code>", "exec"), {"__name__": "__main__"})
    else:
        main()
"""


class Child:
    """A command under way; it is asked as a `subprocess.Popen` is.

    Attributes
    ----------
    stdout : file object or None
        What it says, where it was asked for.
    returncode : int or None
        How it ended, below nought where it was killed.
    """

    def __init__(self, told: int, stdout: IO[str] | None) -> None:
        self._told = os.fdopen(told, buffering=1)
        self.stdout = stdout
        self.returncode: int | None = None

    @cached_property
    def pid(self) -> int:
        """Its number, which is known once it has begun."""
        said = self._told.readline()
        assert said, "the program could not be loaded; what it said stands above"
        return int(said)

    def poll(self) -> int | None:
        """Say how it ended; None while it goes on."""
        if self.returncode is None and self.pid and self._has_told(0):
            self.returncode = int(self._told.readline())
            self._told.close()
        return self.returncode

    def wait(self, timeout: float) -> int:
        """Wait for its end, so many seconds at most."""
        if self.returncode is None and self.pid and not self._has_told(timeout):
            raise subprocess.TimeoutExpired("resale", timeout)
        code = self.poll()
        assert code is not None
        return code

    def send_signal(self, number: int) -> None:
        # Once it has ended, its number may be another's.
        if self.poll() is None:
            with suppress(ProcessLookupError):
                os.kill(self.pid, number)

    def terminate(self) -> None:
        self.send_signal(signal.SIGTERM)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)

    def _has_told(self, seconds: float) -> bool:
        return bool(select.select([self._told], [], [], seconds)[0])


def start(
    words: Sequence[str],
    environment: Mapping[str, str],
    *,
    code: str = "",
    stdout: IO[str] | None = None,
    stderr: IO[str] | None = None,
) -> Child | subprocess.Popen[str]:
    """Start a command of the shop.

    Parameters
    ----------
    words : sequence of str
        After ``resale``.
    environment : mapping of str to str
        All that it finds there.
    code : str, optional
        Python to run in place of the command, which finds the words in `sys.argv`.
    stdout : file object, optional
        Where its output goes; by default it is read from the child.
    stderr : file object, optional
        Where the rest goes; by default to where that of the tests goes.
    """
    if not hasattr(os, "fork"):
        # Such a machine loads the program anew each time.
        return subprocess.Popen(
            [sys.executable, "-u", "-c", code or MAIN, *words],
            env=dict(environment),
            stdout=stdout or subprocess.PIPE,
            stderr=stderr,
            text=True,
            cwd=ROOT,
        )
    order = {
        "words": list(words),
        "environment": dict(environment),
        "folder": str(ROOT),
        "code": code,
    }
    said = None
    if stdout is None:
        ours, out = os.pipe()
        said = os.fdopen(ours)
    else:
        out = os.dup(stdout.fileno())
    told, tell = os.pipe()
    err = os.dup(stderr.fileno() if stderr else 2)
    try:
        socket.send_fds(_nursery(), [json.dumps(order).encode() + b"\n"], [out, err, tell])
    finally:
        for pipe in (out, err, tell):
            os.close(pipe)
    return Child(told, said)


def run(
    words: Sequence[str], environment: Mapping[str, str], *, code: str = "", timeout: float = 120
) -> subprocess.CompletedProcess[str]:
    """Run a command of the shop to its end; gives how it ended and all that it said."""
    with TemporaryFile("w+") as out, TemporaryFile("w+") as err:
        child = start(words, environment, code=code, stdout=out, stderr=err)
        try:
            ended = child.wait(timeout)
        finally:
            child.kill()
        out.seek(0)
        err.seek(0)
        return subprocess.CompletedProcess(list(words), ended, out.read(), err.read())


@cache
def _nursery() -> socket.socket:
    ours, its = socket.socketpair()
    process = subprocess.Popen(
        [sys.executable, "-c", _NURSERY, str(its.fileno())],
        env={**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"},
        stdin=subprocess.DEVNULL,
        pass_fds=[its.fileno()],
    )
    its.close()

    def end() -> None:
        ours.close()
        process.wait(timeout=60)

    atexit.register(end)
    return ours
