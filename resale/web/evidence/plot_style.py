"""Paper, ink and thread for plots: one look for all of them, by daylight and by lamplight."""

from __future__ import annotations

import io
import re
import threading
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import Any

import matplotlib as mpl
from matplotlib import font_manager
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from resale.fonts import REGULAR

# Points; a picture is shown at most so wide, so that a point is a pixel of the page.
WIDE, NARROW = 680, 350
TEXT = 14
_INCH = 72
# The library keeps settings and glyphs for the whole process.
_lock = threading.Lock()
_STYLE = re.compile(r' style="([^"]*)"')
_BLOCK = re.compile(r"<style\b.*?</style>", re.S)


@dataclass(frozen=True)
class Inks:
    """Colours of a plot, those of the page it stands on."""

    ink: str
    soft: str
    hair: str
    thread: str
    ground: str


DAY = Inks("#2a241c", "#5b5142", "#c9bb9e", "#27457a", "#e9dfca")
LAMP = Inks("#eee3cd", "#bfb199", "#4a3f30", "#a9c0e8", "#241d15")

Drawer = Callable[[Axes, Inks, bool], None]


def drawn(drawer: Drawer, height: Callable[[bool], float], *, lamp: bool, narrow: bool) -> bytes:
    """Draw one plot as SVG.

    Parameters
    ----------
    height : callable
        Height in points, given whether the plot is narrow.

    Returns
    -------
    bytes
        Without a style of its own, so that the guard of all answers holds for it too.
    """
    inks = LAMP if lamp else DAY
    width = NARROW if narrow else WIDE
    with _lock, mpl.rc_context(_settings(inks)):
        figure = Figure(figsize=(width / _INCH, height(narrow) / _INCH), layout="constrained")
        FigureCanvasSVG(figure)
        axes = figure.add_subplot()
        axes.spines[["top", "right"]].set_visible(False)
        drawer(axes, inks, narrow)
        stream = io.StringIO()
        figure.savefig(stream, format="svg", transparent=True, metadata={"Date": None})
    return _plain(stream.getvalue()).encode()


def _plain(text: str) -> str:
    """Turn styles into attributes."""

    def attributes(found: re.Match[str]) -> str:
        pairs = (part.split(":", 1) for part in found[1].split(";") if ":" in part)
        return "".join(f' {name.strip()}="{value.strip()}"' for name, value in pairs)

    return _STYLE.sub(attributes, _BLOCK.sub("", text))


def _settings(inks: Inks) -> Any:
    # Older versions of the library type this otherwise.
    return {
        "font.family": _family(),
        "font.size": TEXT,
        "svg.hashsalt": "resale",
        "text.color": inks.ink,
        "axes.edgecolor": inks.soft,
        "axes.labelcolor": inks.soft,
        "axes.labelsize": TEXT - 1,
        "axes.linewidth": 1,
        "xtick.color": inks.soft,
        "ytick.color": inks.soft,
        "xtick.labelsize": TEXT - 1,
        "ytick.labelsize": TEXT - 1,
        "lines.linewidth": 2.5,
    }


@cache
def _family() -> str:
    font_manager.fontManager.addfont(REGULAR)
    return font_manager.FontProperties(fname=REGULAR).get_name()
