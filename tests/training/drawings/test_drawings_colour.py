"""Colour: published differences, and the fade steps read back from the drawn patches."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from drawn_geometry import at, having, text_of
from drawn_measures import NOMINAL
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.training.drawings import LEVELS, make
from resale.training.drawings.colour import ciede2000, delta_e, hex_from_lab, lab_from_hex

# Sharma, Wu, Dalal 2005, Color Research and Application 30(1), table 1: all 34 pairs, L* a* b* of
# both and the CIEDE2000 difference; four decimals printed.
TABLE = """
    50 2.6772 -79.7751  50 0 -82.7485  2.0425
    50 3.1571 -77.2803  50 0 -82.7485  2.8615
    50 2.8361 -74.0200  50 0 -82.7485  3.4412
    50 -1.3802 -84.2814  50 0 -82.7485  1.0000
    50 -1.1848 -84.8006  50 0 -82.7485  1.0000
    50 -0.9009 -85.5211  50 0 -82.7485  1.0000
    50 0 0  50 -1 2  2.3669
    50 -1 2  50 0 0  2.3669
    50 2.4900 -0.0010  50 -2.4900 0.0009  7.1792
    50 2.4900 -0.0010  50 -2.4900 0.0010  7.1792
    50 2.4900 -0.0010  50 -2.4900 0.0011  7.2195
    50 2.4900 -0.0010  50 -2.4900 0.0012  7.2195
    50 -0.0010 2.4900  50 0.0009 -2.4900  4.8045
    50 -0.0010 2.4900  50 0.0010 -2.4900  4.8045
    50 -0.0010 2.4900  50 0.0011 -2.4900  4.7461
    50 2.5 0  50 0 -2.5  4.3065
    50 2.5 0  73 25 -18  27.1492
    50 2.5 0  61 -5 29  22.8977
    50 2.5 0  56 -27 -3  31.9030
    50 2.5 0  58 24 15  19.4535
    50 2.5 0  50 3.1736 0.5854  1.0000
    50 2.5 0  50 3.2972 0  1.0000
    50 2.5 0  50 1.8634 0.5757  1.0000
    50 2.5 0  50 3.2592 0.3350  1.0000
    60.2574 -34.0099 36.2677  60.4626 -34.1751 39.4387  1.2644
    63.0109 -31.0961 -5.8663  62.8187 -29.7946 -4.0864  1.2630
    61.2901 3.7196 -5.3901  61.4292 2.2480 -4.9620  1.8731
    35.0831 -44.1164 3.7933  35.0232 -40.0716 1.5901  1.8645
    22.7233 20.0904 -46.6940  23.0331 14.9730 -42.5619  2.0373
    36.4612 47.8580 18.3852  36.2715 50.5065 21.2231  1.4146
    90.8027 -2.0831 1.4410  91.1528 -1.6435 0.0447  1.4441
    90.9257 -0.5406 -0.9208  88.6381 -0.8985 -0.7239  1.5381
    6.7747 -0.2908 -2.4247  5.8714 -0.0985 -2.2286  0.6377
    2.0776 0.0795 -1.1350  0.9033 -0.0636 -0.5514  0.9082
"""
ROWS = [[float(cell) for cell in line.split()] for line in TABLE.strip().splitlines()]
SHARMA = [(tuple(row[:3]), tuple(row[3:6]), row[6]) for row in ROWS]


def test_the_published_table_is_whole():
    assert len(SHARMA) == 34


@pytest.mark.parametrize(("first", "second", "published"), SHARMA)
def test_ciede2000_agrees_with_the_published_pairs_either_way_round(first, second, published):
    assert ciede2000(first, second) == pytest.approx(published, abs=5e-5)
    assert ciede2000(second, first) == pytest.approx(published, abs=5e-5)


def test_textile_weight_of_lightness_near_black():
    """Sharma's pair 34 with kL = 2: 0.6908, recomputed from the paper's formula."""
    assert ciede2000(*SHARMA[-1][:2], k_l=2.0) == pytest.approx(0.6908, abs=5e-5)


def test_plain_difference_of_sharma_pair_25():
    """CIE 1976 for pair 25: 3.1819, recomputed."""
    assert delta_e(*SHARMA[24][:2]) == pytest.approx(3.1819, abs=5e-5)


labs = st.tuples(st.floats(5, 95), st.floats(-60, 60), st.floats(-60, 60))


@given(labs, labs)
def test_a_difference_is_none_to_itself_and_the_same_both_ways(first, second):
    assert ciede2000(first, first) == pytest.approx(0, abs=1e-9)
    assert ciede2000(first, second) == pytest.approx(ciede2000(second, first), abs=1e-9)
    assert delta_e(first, second) >= 0


def lab_by_matrix(colour):
    """CIELAB of a screen colour, by IEC 61966-2-1 and CIE 15 with D65, written apart."""
    rgb = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    primaries = np.array([[0.64, 0.33, 0.03], [0.30, 0.60, 0.10], [0.15, 0.06, 0.79]]).T
    white = np.array([0.3127, 0.3290, 0.3583]) / 0.3290
    xyz = primaries * np.linalg.solve(primaries, white) @ linear / white
    f = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


@given(st.integers(0, 0xFFFFFF))
def test_screen_colours_turn_into_cielab_as_the_standard_says(value):
    """Tolerance 0.05: the standard's rounded matrix against its exact chromaticities."""
    colour = f"#{value:06x}"
    assert lab_from_hex(colour) == pytest.approx(lab_by_matrix(colour), abs=0.05)


@given(st.integers(0, 0xFFFFFF))
def test_a_screen_colour_comes_back_from_cielab_unchanged(value):
    colour = f"#{value:06x}"
    assert hex_from_lab(lab_from_hex(colour)) == colour


@pytest.mark.parametrize(
    ("colour", "lab"),
    [
        # Widely published CIELAB (D65) of the screen primaries; one decimal.
        ("#ffffff", (100.0, 0.0, 0.0)),
        ("#000000", (0.0, 0.0, 0.0)),
        ("#ff0000", (53.2, 80.1, 67.2)),
        ("#00ff00", (87.7, -86.2, 83.2)),
        ("#0000ff", (32.3, 79.2, -107.9)),
    ],
)
def test_corners_of_the_screen_in_cielab(colour, lab):
    assert lab_from_hex(colour) == pytest.approx(lab, abs=0.06)


def drawn_difference(kept, worn):
    first, second = (lab_by_matrix(each.get("fill")) for each in (kept, worn))
    return float(np.linalg.norm(first - second)), first, second


@pytest.mark.parametrize("level", LEVELS)
@settings(max_examples=times(8), deadline=None)
@given(seed=st.integers(0, 2**32))
def test_the_patches_differ_by_their_grade_within_the_tolerance_of_the_standard(level, seed):
    made = make("fade", level, seed)
    (kept,), (worn,) = having(made.svg, "patch", "kept"), having(made.svg, "patch", "worn")
    found, first, second = drawn_difference(kept, worn)
    nominal, tolerance = NOMINAL[made.truth]
    assert found == pytest.approx(nominal, abs=tolerance / 2)
    assert second[0] >= first[0], "fading makes it lighter"
    nearest = min(NOMINAL, key=lambda grade: abs(NOMINAL[grade][0] - found))
    assert nearest == made.truth
    assert f"{found:.1f} CIELAB" in made.why or abs(found * 10 % 1 - 0.5) < 0.1
    assert at(kept, "x")[0] + at(kept, "width")[0] == at(worn, "x")[0], "edge to edge"


@pytest.mark.parametrize("level", LEVELS)
def test_the_drawn_grey_scale_is_in_order_and_within_tolerance(level):
    svg = make("fade", level, 1).svg
    pairs = zip(having(svg, "chip", "kept"), having(svg, "chip", "worn"), strict=True)
    found = [drawn_difference(*pair)[0] for pair in pairs]
    names = text_of(svg, "chip-name")
    for name, difference in zip(names, found, strict=True):
        assert difference == pytest.approx(NOMINAL[name][0], abs=NOMINAL[name][1])
    assert all(a < b for a, b in pairwise(found))
    assert names == [answer.id for answer in make("fade", level, 1).answers]


def grade_by_instrument(difference: float) -> float:
    """Grey-scale rating from a colour difference, ISO 105-A05:1996 (formula from memory).

    ``5 - d / 1.7`` up to 3.4, ``5 - log2(d / 0.85)`` above; of greys d is the CIELAB difference.
    """
    return 5 - difference / 1.7 if difference <= 3.4 else 5 - float(np.log2(difference / 0.85))


# ISO 105-A05:1996, table 1 (from memory): from which difference on a grade holds.
FROM = {
    "5": 0.0,
    "4-5": 0.40,
    "4": 1.25,
    "3-4": 2.10,
    "3": 2.95,
    "2-3": 4.10,
    "2": 5.80,
    "1-2": 8.20,
    "1": 11.60,
}


def as_number(grade: str) -> float:
    """4-5 stands for 4.5."""
    return sum(map(float, grade.split("-"))) / len(grade.split("-"))


@pytest.mark.parametrize("grade", NOMINAL)
def test_the_nominal_differences_get_their_grade_by_the_instrumental_formula(grade):
    """ISO 105-A02's nominal differences put into ISO 105-A05's formula: two standards agree."""
    assert grade_by_instrument(NOMINAL[grade][0]) == pytest.approx(as_number(grade), abs=0.035)


@pytest.mark.parametrize("level", LEVELS)
def test_the_drawn_grey_chips_get_their_grade_by_the_instrumental_table(level):
    svg = make("fade", level, 1).svg
    pairs = zip(having(svg, "chip", "kept"), having(svg, "chip", "worn"), strict=True)
    for name, pair in zip(text_of(svg, "chip-name"), pairs, strict=True):
        difference = drawn_difference(*pair)[0]
        by_table = [grade for grade, least in FROM.items() if difference >= least][-1]
        assert by_table == name
        assert round(2 * grade_by_instrument(difference)) / 2 == as_number(name)
