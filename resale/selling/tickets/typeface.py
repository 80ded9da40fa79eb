"""What can be drawn on paper, asked without any paper.

Source Sans Pro draws Latin, Greek and Cyrillic letters. Letters and signs that it lacks and that
stand side by side without being joined, placed or turned (Armenian, Georgian, hearts, faces) come
from DejaVu Sans, which comes with the library of our plots. What neither has, and scripts that are
joined or run from the right, are said before anything is printed; see `lost_letters.py`.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from importlib.util import find_spec
from itertools import groupby
from pathlib import Path

from resale.fonts import BOLD, REGULAR

FILES = {"": REGULAR, "B": BOLD}
_MORE = {"": "DejaVuSans.ttf", "B": "DejaVuSans-Bold.ttf"}
# Scripts of the second typeface whose letters change, or carry marks, beside each other.
_JOINED = ("LAO ", "NKO ", "ARABIC ", "HEBREW ")


def drawable(text: str) -> str:
    """Replace what no typeface of ours can draw: by its plain letters, or by a question mark.

    Examples
    --------
    >>> drawable("￥1,200  ﬁne"), drawable("寿司")
    ('¥1,200 fine', '??')
    """
    plain = " ".join(unicodedata.normalize("NFKC", text).split())
    if can_draw(plain):
        return plain
    return "".join(letter if _drawn(letter) else _plain_letter(letter) for letter in plain)


def can_draw(text: str) -> bool:
    """Say whether every letter of a text, in its plain form, can be drawn."""
    return text.isascii() or all(map(_drawn, unicodedata.normalize("NFKC", text)))


def runs(text: str) -> list[tuple[bool, str]]:
    """Part a drawable text into runs of one typeface.

    Returns
    -------
    list of (bool, str)
        Whether the second typeface draws it, and the run.
    """
    if text.isascii():
        return [(False, text)]
    first = _known()
    return [(more, "".join(run)) for more, run in groupby(text, lambda x: ord(x) not in first)]


def more_files() -> dict[str, Path]:
    """The second typeface by its weight; nothing where its files are not there."""
    found = find_spec("matplotlib")
    folders = found.submodule_search_locations if found else None
    if not folders:
        return {}
    fonts = Path(folders[0]) / "mpl-data" / "fonts" / "ttf"
    files = {weight: fonts / name for weight, name in _MORE.items()}
    return files if all(path.is_file() for path in files.values()) else {}


def _drawn(letter: str) -> bool:
    return ord(letter) in _known() or (ord(letter) in _more() and _stands_alone(letter))


def _stands_alone(letter: str) -> bool:
    alone = unicodedata.category(letter)[0] not in "MCZ"
    turned = unicodedata.bidirectional(letter) in {"R", "AL", "AN"}
    return alone and not turned and not unicodedata.name(letter, "").startswith(_JOINED)


def _plain_letter(letter: str) -> str:
    bare = unicodedata.normalize("NFKD", letter)
    printable = "".join(part for part in bare if ord(part) in _known())
    return printable or "?"


@cache
def _known() -> frozenset[int]:
    return _letters(tuple(FILES.values()))


@cache
def _more() -> frozenset[int]:
    return _letters(tuple(more_files().values()))


def _letters(paths: tuple[Path, ...]) -> frozenset[int]:
    """Code points that all weights of a typeface draw."""
    # Half a second to load, for which whoever asks for no letter need not wait.
    from fontTools.ttLib import TTFont  # noqa: PLC0415

    drawn = []
    for path in paths:
        with TTFont(path, lazy=True) as font:
            drawn.append(frozenset(font.getBestCmap()))
    return frozenset.intersection(*drawn) if drawn else frozenset()
