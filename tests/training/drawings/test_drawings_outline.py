"""What is seen from two steps away, and what is worn or written, measured in the drawing."""

from __future__ import annotations

import re

import pytest
from drawn_geometry import at, box, having, points, text_of, tile_colour
from drawn_outlines import (
    COLOURED,
    DARK,
    PALE,
    alike,
    ground,
    lab,
    motif_part,
    outline_of,
    yarn_left,
)
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.training.drawings import LEVELS, make

levels = pytest.mark.parametrize("level", LEVELS)
some = settings(max_examples=times(5), deadline=None)
SEEDS = st.integers(0, 2**32)


@levels
@some
@given(seed=SEEDS)
def test_a_jacket_is_as_current_as_the_one_of_the_board_that_it_measures_like(level, seed):
    svg = (made := make("style_now", level, seed)).svg
    came_in = outline_of(svg, "in")
    board = {name: outline_of(svg, name) for name in ("today", "wanted_again", "dated")}
    like = [name for name, one in board.items() if alike(one, came_in)]
    assert like == ([] if made.truth == "plain" else [made.truth])


@levels
@some
@given(seed=SEEDS)
def test_a_colour_is_what_most_of_the_cloth_is(level, seed):
    svg = (made := make("colour_kept", level, seed)).svg
    light, chroma = lab(ground(svg))
    if motif_part(svg) > 0.15:
        told = "loud"
    elif chroma > COLOURED:
        told = "clear"
    else:
        told = "dark" if light < DARK else "pale" if light > PALE else "muted"
    assert told == made.truth


@levels
@some
@given(seed=SEEDS)
def test_a_set_has_the_lots_and_cloth_that_it_says(level, seed):
    svg = (made := make("set_whole", level, seed)).svg
    (lot,) = text_of(svg, "jacket-lot")
    own = [one for one in text_of(svg, "other-lot") if one == lot]
    buttons = {each.get("fill") for each in having(svg, "button")}
    tells = len(having(svg, "check")) + len(having(svg, "patch-pocket")) + ("#c7a04f" in buttons)
    if own:
        told = {1: "two_piece", 2: "three_piece"}[len(own)]
        assert tile_colour(svg, "cloth-legs") == tile_colour(svg, "cloth-main")
    else:
        told = "stands_alone" if tells else "orphan"
    assert told == made.truth


@levels
@some
@given(seed=SEEDS)
def test_a_date_on_a_bag_is_read_and_set_against_its_zip_and_the_calendar(level, seed):
    svg = (made := make("bag_date", level, seed)).svg
    key = dict(zip(text_of(svg, "key-letter"), text_of(svg, "key-figure"), strict=True))
    (stamped,) = text_of(svg, "stamped") or [""]
    (tape,), (today,) = text_of(svg, "tape"), text_of(svg, "today")
    plain = "".join(key.get(one, one) for one in stamped)
    year = re.search(r"\d{4}", plain)
    if not year:
        told = "none"
    elif int(year[0]) < int(tape.split()[-1]):
        told = "quarrels"
    else:
        told = "old_date" if int(today) - int(year[0]) > 30 else "readable"
    assert told == made.truth


@levels
@some
@given(seed=SEEDS)
def test_an_edge_is_as_worn_as_what_stands_out_of_it(level, seed):
    svg = (made := make("edges", level, seed)).svg
    _, top, _, bottom = box(points(having(svg, "fold")[0]))
    if having(svg, "stiffening"):
        told = "through"
    elif having(svg, "broken-yarn"):
        told = "frayed"
    elif having(svg, "fuzz"):
        told = "fuzzy"
    else:
        told = "crisp" if bottom - top < 0.1 else "softened"
    assert told == made.truth
    collar = "collar" in made.question
    assert made.signal_ids == (("collar_edge",) if collar else ("cuff_edge",))


@levels
@some
@given(seed=SEEDS)
def test_cloth_is_thin_where_its_yarns_leave_more_light_than_at_the_shin(level, seed):
    svg = (made := make("thinning", level, seed)).svg
    if having(svg, "gap"):
        told = "through"
    elif yarn_left(svg) < 0.95:
        told = "thin"
    else:
        told = "fuzzy" if having(svg, "hair") else "sound"
    assert told == made.truth


@levels
@some
@given(seed=SEEDS)
def test_a_print_has_smooth_outlines_and_a_paler_back(level, seed):
    svg = (made := make("pattern_made", level, seed)).svg
    fronts, backs = having(svg, "motif", "front"), having(svg, "motif", "back")
    if not fronts:
        assert made.truth == "plain" and not backs
        return
    level_or_plumb = all(
        abs(a - c) < 0.02 or abs(b - d) < 0.02
        for (a, b), (c, d) in zip(points(fronts[0]), points(fronts[0])[1:], strict=False)
    )
    same = {each.get("fill") for each in backs} == {fronts[0].get("fill")}
    assert (level_or_plumb and same) == (made.truth == "woven_in")
    assert level_or_plumb or not same
    assert at(having(svg, "face")[0], "x") == [14]
