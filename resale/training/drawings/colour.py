"""CIELAB and sRGB, and how far two colours lie apart.

References
----------
IEC 61966-2-1:1999, sRGB: transfer curve and primaries. CIE 15: CIELAB, illuminant D65, 2 degree
observer. Sharma, Wu, Dalal 2005, Color Research and Application 30(1), CIEDE2000.
"""

from __future__ import annotations

from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

Lab = tuple[float, float, float]

WHITE = (0.95047, 1.0, 1.08883)
"""D65, 2 degree observer."""

_TO_XYZ = (
    (0.4124564, 0.3575761, 0.1804375),
    (0.2126729, 0.7151522, 0.0721750),
    (0.0193339, 0.1191920, 0.9503041),
)
_TO_RGB = (
    (3.2404542, -1.5371385, -0.4985314),
    (-0.9692660, 1.8760108, 0.0415560),
    (0.0556434, -0.2040259, 1.0572252),
)
_BREAK = 6 / 29


def _through(matrix: tuple[tuple[float, ...], ...], values: tuple[float, ...]) -> list[float]:
    return [sum(a * b for a, b in zip(row, values, strict=True)) for row in matrix]


def _unroot(t: float) -> float:
    return t**3 if t > _BREAK else 3 * _BREAK**2 * (t - 4 / 29)


def _root(t: float) -> float:
    return float(t ** (1 / 3)) if t > _BREAK**3 else t / (3 * _BREAK**2) + 4 / 29


def hex_from_lab(lab: Lab) -> str:
    """Nearest screen colour of a CIELAB colour, as ``#rrggbb``.

    Examples
    --------
    >>> hex_from_lab((50.0, 0.0, 0.0))
    '#777777'
    """
    lightness, a, b = lab
    fy = (lightness + 16) / 116
    xyz = tuple(
        w * _unroot(f) for w, f in zip(WHITE, (fy + a / 500, fy, fy - b / 200), strict=True)
    )
    written = "#"
    for light in _through(_TO_RGB, xyz):
        held = min(max(light, 0.0), 1.0)
        curve = 12.92 * held if held <= 0.0031308 else 1.055 * held ** (1 / 2.4) - 0.055
        written += f"{round(curve * 255):02x}"
    return written


def lab_from_hex(colour: str) -> Lab:
    """CIELAB of a screen colour written ``#rrggbb``."""
    light = []
    for k in (1, 3, 5):
        value = int(colour[k : k + 2], 16) / 255
        light.append(value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4)
    x, y, z = (_root(v / w) for v, w in zip(_through(_TO_XYZ, tuple(light)), WHITE, strict=True))
    return (116 * y - 16, 500 * (x - y), 200 * (y - z))


def delta_e(first: Lab, second: Lab) -> float:
    """CIELAB colour difference (CIE 1976), the one that the grey scale is defined by.

    Parameters
    ----------
    first, second : Lab
        L*, a*, b* of each colour.

    Returns
    -------
    float
        0 for the same colour; the distance in L*, a*, b*.
    """
    return sqrt(sum((a - b) ** 2 for a, b in zip(first, second, strict=True)))


def _hue(a: float, b: float) -> float:
    return degrees(atan2(b, a)) % 360 if (a, b) != (0, 0) else 0.0


def _hue_step(h1: float, h2: float, c1: float, c2: float) -> float:
    """Difference of two hues the short way round, none where a colour has no hue."""
    if c1 * c2 == 0:
        return 0.0
    step = h2 - h1
    return step - 360 if step > 180 else step + 360 if step < -180 else step


def _hue_middle(h1: float, h2: float, c1: float, c2: float) -> float:
    if c1 * c2 == 0:
        return h1 + h2
    if abs(h1 - h2) <= 180:
        return (h1 + h2) / 2
    return (h1 + h2 + (360 if h1 + h2 < 360 else -360)) / 2


def ciede2000(first: Lab, second: Lab, *, k_l: float = 1.0) -> float:
    """CIEDE2000 colour difference, kC = kH = 1.

    Parameters
    ----------
    first, second : tuple of float
        L*, a*, b*.
    k_l : float, default 1
        Weight of lightness; 2 is used for textiles.

    References
    ----------
    Sharma, Wu, Dalal 2005, equations 2 to 22.

    Examples
    --------
    >>> round(ciede2000((50, 2.6772, -79.7751), (50, 0, -82.7485)), 4)
    2.0425
    """
    (l1, a1, b1), (l2, a2, b2) = first, second
    c_mean = (hypot(a1, b1) + hypot(a2, b2)) / 2
    g = 0.5 * (1 - sqrt(c_mean**7 / (c_mean**7 + 25.0**7)))
    a1, a2 = (1 + g) * a1, (1 + g) * a2
    c1, c2 = hypot(a1, b1), hypot(a2, b2)
    h1, h2 = _hue(a1, b1), _hue(a2, b2)
    dl, dc = l2 - l1, c2 - c1
    dh = 2 * sqrt(c1 * c2) * sin(radians(_hue_step(h1, h2, c1, c2)) / 2)
    l_bar, c_bar, h_bar = (l1 + l2) / 2, (c1 + c2) / 2, _hue_middle(h1, h2, c1, c2)
    t = (
        1
        - 0.17 * cos(radians(h_bar - 30))
        + 0.24 * cos(radians(2 * h_bar))
        + 0.32 * cos(radians(3 * h_bar + 6))
        - 0.20 * cos(radians(4 * h_bar - 63))
    )
    s_l = 1 + 0.015 * (l_bar - 50) ** 2 / sqrt(20 + (l_bar - 50) ** 2)
    s_c, s_h = 1 + 0.045 * c_bar, 1 + 0.015 * c_bar * t
    turn = 30 * exp(-(((h_bar - 275) / 25) ** 2))
    r_t = -2 * sqrt(c_bar**7 / (c_bar**7 + 25.0**7)) * sin(radians(2 * turn))
    light, chroma, hue = dl / (k_l * s_l), dc / s_c, dh / s_h
    return sqrt(light**2 + chroma**2 + hue**2 + r_t * chroma * hue)
