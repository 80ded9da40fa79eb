"""Measure what is seen from two steps away: outlines by the hanger, colours, yarns and steps."""

from __future__ import annotations

from itertools import pairwise
from math import hypot, pi

import numpy as np
from drawn_geometry import NAMESPACE, Element, at, box, having, points, read

CLOSE_TO = 0.02
"""Part of a hanger by which two measures may differ and count as alike."""

DARK, PALE, COLOURED = 30.0, 86.5, 22.0
"""CIELAB lightness below which a cloth is dark and above which pale, chroma from which coloured."""


def outline_of(svg: str, name: str) -> tuple[float, float, float]:
    """Shoulder, lapel and length of a jacket, in widths of its hanger."""
    (bar,) = having(svg, "hanger", name)
    x1, x2 = at(bar, "x1", "x2")
    left, top, right, bottom = box(points(having(svg, "body", name)[0]))
    a, _, b, _ = box(points(having(svg, "lapel", name)[0]))
    unit = x2 - x1
    return (right - left) / unit, (b - a) / unit, (bottom - top) / unit


def alike(first: tuple[float, ...], second: tuple[float, ...]) -> bool:
    return all(abs(a - b) < CLOSE_TO for a, b in zip(first, second, strict=True))


def lab(colour: str) -> tuple[float, float]:
    """CIELAB lightness and chroma of a screen colour (IEC 61966-2-1; CIE 15, D65)."""
    light = np.array([int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)])
    light = np.where(light <= 0.04045, light / 12.92, ((light + 0.055) / 1.055) ** 2.4)
    rows = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
    part = np.array(rows) @ light / np.array([0.9505, 1.0, 1.089])
    root = np.where(part > (6 / 29) ** 3, np.cbrt(part), part * (29 / 6) ** 2 / 3 + 4 / 29)
    return float(116 * root[1] - 16), hypot(500 * (root[0] - root[1]), 200 * (root[1] - root[2]))


def ground(svg: str) -> str:
    (one,) = having(svg, "ground")
    return str(one.get("fill"))


def motif_part(svg: str) -> float:
    """Part of a tile that its motif covers."""
    (tile,) = read(svg).iter(NAMESPACE + "pattern")
    area = sum(pi * at(each, "r")[0] ** 2 for each in having(svg, "motif"))
    return area / (at(tile, "width")[0] * at(tile, "height")[0])


def colour_to_spare(svg: str, truth: str) -> float:
    """How near the cloth lies to what would be another answer; 0 is on the line."""
    light, chroma = lab(ground(svg))
    return -abs(
        {
            "dark": DARK - light,
            "pale": light - PALE,
            "muted": COLOURED - chroma,
            "clear": chroma - COLOURED,
            "loud": 20 * motif_part(svg),
        }[truth]
    )


def yarn_left(svg: str) -> float:
    """How thick the yarns of the thigh are against those of the shin."""
    thigh, shin = (
        at(having(svg, "yarn", place)[0], "stroke-width")[0] for place in ("thigh", "shin")
    )
    return thigh / shin


def finest_step(element: Element) -> float:
    """Shortest straight run of an outline."""
    runs = [hypot(c - a, d - b) for (a, b), (c, d) in pairwise(points(element))]
    return min(run for run in runs if run > 0.1)
