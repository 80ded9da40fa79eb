"""Published grade scales: direction, nominal values, limits."""

import pytest

from resale.errors import ReadingError
from resale.garments.measures.grey_scale import COLOUR_CHANGE_STEPS
from resale.garments.measures.wear_grades import SOURCES, WearGrade, WearScale

# ISO 105-A02:1993 cl. 2.4: grade, nominal CIELAB difference, tolerance. Seen at
# standards.iteh.ai (EN 20105-A02:1994) and in the Russian edition at ajdocs.ru/gsp/51985/6.
A02 = [
    (5.0, 0.0, 0.2),
    (4.5, 0.8, 0.2),
    (4.0, 1.7, 0.3),
    (3.5, 2.5, 0.35),
    (3.0, 3.4, 0.4),
    (2.5, 4.8, 0.5),
    (2.0, 6.8, 0.6),
    (1.5, 9.6, 0.7),
    (1.0, 13.6, 1.0),
]


def test_the_grey_scale_for_colour_change_is_the_published_one():
    assert [(s.grade, s.delta_e, s.tolerance) for s in COLOUR_CHANGE_STEPS] == A02


def test_five_is_best_on_every_scale():
    for scale in WearScale:
        best, worst = WearGrade(scale, 5.0), WearGrade(scale, 1.0)
        assert best.wording != worst.wording
        assert SOURCES[scale].standard.startswith("ISO ")


@pytest.mark.parametrize("value", [0.0, 5.5, 3.3, float("nan")])
def test_a_grade_off_the_scale_cannot_be_made(value):
    with pytest.raises(ReadingError, match="not on the scale"):
        WearGrade(WearScale.PILLING, value)
