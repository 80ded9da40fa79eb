"""Words read off a photo of a label, by Tesseract, in a process of its own.

The program and its Python face are optional: without them one sentence says what is missing and
how it comes. Nothing of the picture stays: the process writes into a folder that goes with it.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from importlib.util import find_spec
from tempfile import TemporaryDirectory
from threading import BoundedSemaphore, Timer
from typing import IO, Any

from resale.errors import ResaleError
from resale.garments.label_text.parted import ReadWord
from resale.storage.apart.limits import limit_oneself, surroundings

PROGRAM, FACE = "tesseract", "pytesseract"
# In the order in which they are tried on each word. Polish first: read first as another language,
# its own letters come out as others of which the program is sure.
LANGUAGES = ("pol", "deu", "swe", "fra", "spa", "por", "ita", "nld", "eng")
PACKS = "tesseract-ocr " + " ".join(f"tesseract-ocr-{one}" for one in LANGUAGES if one != "eng")
MEMORY = 1_500_000_000
CPU_SECONDS = 90
SECONDS = 120
RUN = ("-m", __name__)
# A label may have been photographed from any side; with so much of it read surely, in words and not
# in crumbs, it stands upright.
TURNS, UPRIGHT_FROM = (0, 90, 270, 180), 0.6
SURE, SHORTEST = 80, 3
# A small picture is read better made larger; letters want some thirty pixels.
WIDE = 1200
# Each reading takes a core, and whoever waits takes a thread that another desk may need.
_TURN = BoundedSemaphore(1)
PATIENCE = 15


class LabelPhotoError(ResaleError):
    """The words of a photographed label cannot be read here, or not in time."""


def what_is_missing() -> str:
    """Say what this machine lacks for reading labels, with how it comes; empty where nothing is."""
    if find_spec(FACE) is None:
        return (
            "the optional part for photos of labels is not installed; "
            "run .venv/bin/pip install -q -c .ci/constraints.txt -e '.[ocr]'"
        )
    if shutil.which(PROGRAM) is None:
        return f"the program tesseract is not installed; on Debian: apt-get install {PACKS}"
    return ""


def words_of(jpeg: bytes, *, languages: Sequence[str] = LANGUAGES) -> tuple[ReadWord, ...]:
    """Read the words of a picture.

    Parameters
    ----------
    jpeg : bytes
        As `resale.storage.photos.pixels` writes it.
    languages : sequence of str
        By Tesseract's codes; those whose pack is not installed are passed over.

    Returns
    -------
    tuple of ReadWord
        Line by line; none where nothing could be made out.

    Raises
    ------
    LabelPhotoError
        If something is missing here, or it took more memory or time than is given.
    """
    missing = what_is_missing()
    if missing:
        what, _, remedy = missing.partition("; ")
        raise LabelPhotoError(
            what, where="Photo of the label", remedy=f"{remedy}; or type what the label says"
        )
    with _turn(), TemporaryDirectory(prefix="resale-label-") as scratch, _reader(scratch) as one:
        head = json.dumps({"languages": list(languages)})
        try:
            told, _ = one.communicate(head.encode() + b"\n" + jpeg, timeout=SECONDS)
            answer: dict[str, Any] = json.loads(told)
        except (subprocess.TimeoutExpired, ValueError):
            raise LabelPhotoError(
                "reading the label took more memory or time than a label needs, so it was given up",
                where="Photo of the label",
                remedy="take the label alone, flat and near, or type what it says",
            ) from None
    if answer["fault"]:
        raise LabelPhotoError(
            answer["fault"],
            where="Photo of the label",
            remedy=f"on Debian: apt-get install {PACKS}",
        )
    return tuple(ReadWord(*word) for word in answer["words"])


@contextmanager
def _turn() -> Iterator[None]:
    if not _TURN.acquire(timeout=PATIENCE):
        raise LabelPhotoError(
            "another label is being read",
            where="Photo of the label",
            remedy="wait a moment and send it again",
        )
    try:
        yield
    finally:
        _TURN.release()


@contextmanager
def _reader(scratch: str) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(  # noqa: S603 - this very module, by this very Python
        [sys.executable, *RUN],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**surroundings(), "TMPDIR": scratch, "OMP_THREAD_LIMIT": "1"},
        # Killed with whatever it started.
        start_new_session=True,
    )
    watch = Timer(SECONDS, process.kill)
    watch.start()
    try:
        yield process
    finally:
        watch.cancel()
        if sys.platform != "win32":
            with suppress(OSError):
                os.killpg(process.pid, signal.SIGKILL)
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                with suppress(OSError):
                    pipe.close()


# ---------------------------------------------------------------- in the process of its own
def _read(source: IO[bytes], out: IO[str]) -> None:
    limit_oneself(MEMORY, CPU_SECONDS)
    # Here, so that the shop itself never loads it.
    import pytesseract  # noqa: PLC0415
    from PIL import Image, ImageOps  # noqa: PLC0415

    wanted = json.loads(source.readline())["languages"]
    there = set(pytesseract.get_languages())
    languages = [one for one in wanted if one in there]
    if not languages:
        fault = "no language pack of tesseract is installed"
        out.write(json.dumps({"fault": fault, "words": []}))
        return
    picture = ImageOps.autocontrast(Image.open(source_of(source), formats=("JPEG",)).convert("L"))
    if picture.width < WIDE:
        picture = ImageOps.scale(picture, WIDE / picture.width)

    def seen(turn: int, said: str) -> list[tuple[str, int, int]]:
        turned = picture.rotate(turn, expand=True)
        found = pytesseract.image_to_data(
            turned, lang=said, config="--psm 6", output_type=pytesseract.Output.DICT
        )
        return _words(found)

    best = max(_turns(seen, languages[-1]), key=lambda one: one[0])[1]
    out.write(json.dumps({"fault": "", "words": seen(best, "+".join(languages))}))


def source_of(source: IO[bytes]) -> io.BytesIO:
    """Give the rest of a stream as one that can be gone through again."""
    return io.BytesIO(source.read())


def _turns(seen: Any, language: str) -> Iterator[tuple[int, int]]:
    """How many letters are read surely with the picture turned so, until it stands upright."""
    for turn in TURNS:
        found = seen(turn, language)
        whole = [text for text, how, _ in found if how >= SURE and len(text) >= SHORTEST]
        sure = len("".join(whole))
        yield sure, turn
        if sure > UPRIGHT_FROM * len("".join(text for text, _, _ in found)):
            return


def _words(found: dict[str, list[Any]]) -> list[tuple[str, int, int]]:
    """Words with their confidence and line, as Tesseract's table gives them."""
    places = zip(found["block_num"], found["par_num"], found["line_num"], strict=True)
    lines: dict[tuple[int, int, int], int] = {}
    rows = zip(found["text"], found["conf"], places, strict=True)
    return [
        (text.strip(), round(float(confidence)), lines.setdefault(place, len(lines)))
        for text, confidence, place in rows
        if text.strip() and float(confidence) >= 0
    ]


if __name__ == "__main__":
    _read(sys.stdin.buffer, sys.stdout)
