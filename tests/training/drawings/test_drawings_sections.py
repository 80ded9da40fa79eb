"""Sections read back: which layer lies where, and what the threads go through."""

from __future__ import annotations

import pytest
from drawn_geometry import box, classes, down_at, having, inside, passes, points
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.garments.rulebook.rule_book import load_rule_book
from resale.training.drawings import LEVELS, make

levels = pytest.mark.parametrize("level", LEVELS)
SEEDS = st.integers(0, 2**32)
some = settings(max_examples=times(7), deadline=None)
PAPER_WIDTH = 360


def layers(svg, *, flipped=False):
    """Outlines by name; mirrored so that the rim is at the right."""
    found = {}
    for each in having(svg, "layer"):
        outline = turned(points(each), flipped)
        found.setdefault(" ".join(sorted(classes(each) - {"layer"})), []).append(outline)
    return found


def turned(run, flipped):
    return [(PAPER_WIDTH - x, y) for x, y in run] if flipped else run


def threads(svg, *, flipped=False):
    return [turned(points(each), flipped) for each in having(svg, "thread")]


def level_run(run):
    left, top, right, bottom = box(run)
    return right - left > bottom - top


def turns_out(upper):
    """Whether the upper's foot reaches further out than the rest of it."""
    lowest = max(y for _, y in upper)
    foot = max(x for x, y in upper if y > lowest - 20)
    return foot > max(x for x, y in upper if y < lowest - 40) + 30


def with_one_thread_or_none(has, sewn):
    outsole, insole = has["outsole"][0], has["insole"][0]
    if not sewn:
        return "injected" if box(outsole)[1] < box(insole)[3] - 2 else "cemented"
    assert passes(sewn[0], outsole)
    if level_run(sewn[0]):
        return "cup_sole"
    assert passes(sewn[0], insole)
    return "blake"


def with_two_threads(has, sewn):
    welt, upper, outsole, insole = (has[name][0] for name in ("welt", "upper", "outsole", "insole"))
    first = next(run for run in sewn if level_run(run))
    second = next(run for run in sewn if not level_run(run))
    assert passes(first, welt) and passes(first, upper)
    assert passes(second, welt) and passes(second, outsole) and not passes(second, upper)
    if passes(first, insole):
        return "hand"
    assert passes(first, has["rib"][0])
    return "storm" if box(welt)[1] < box(insole)[1] else "goodyear"


def kind_of_sole(svg):
    """Decide from shapes alone, as a shoemaker would."""
    flipped = box(points(having(svg, "layer", "outsole")[0]))[2] > PAPER_WIDTH - 20
    has, sewn = layers(svg, flipped=flipped), threads(svg, flipped=flipped)
    upper = has["upper"][0]
    if box(upper)[0] < 30:
        return "moccasin"
    if turns_out(upper):
        return "stitch_down"
    return (with_one_thread_or_none if len(sewn) < 2 else with_two_threads)(has, sewn)


@levels
@some
@given(seed=SEEDS)
def test_the_sole_is_fixed_as_the_layers_and_threads_say(level, seed):
    made = make("sole", level, seed)
    assert kind_of_sole(made.svg) == made.truth


@pytest.mark.parametrize("level", LEVELS)
def test_every_kind_of_sole_stands_in_order_from_the_ground_up(level):
    """Outsole below insole below the foot; what lies between lies between."""
    for seed in range(40):
        svg = make("sole", level, seed).svg
        has = layers(svg)
        if "insole" not in has:
            continue
        middle = 40 if box(has["outsole"][0])[0] < 20 else PAPER_WIDTH - 40
        tops = {
            name: down_at(outlines[0], middle + 0.37)
            for name, outlines in has.items()
            if name in {"outsole", "insole", "filler", "glue", "midsole"}
        }
        insole_bottom, outsole_top = tops["insole"][-1], tops["outsole"][0]
        assert insole_bottom <= outsole_top + 0.1
        for name in ("filler", "glue", "midsole"):
            if tops.get(name):
                # A filling may run up behind a carved insole, which is painted over it.
                assert tops["insole"][0] < tops[name][0]
                assert insole_bottom < tops[name][-1] <= outsole_top + 0.1


@some
@given(seed=SEEDS)
def test_rim_thread_in_section_holds_only_if_it_reaches_the_outsole(seed):
    made = make("false_welt", 1, seed)
    has, (run,) = layers(made.svg), threads(made.svg)
    assert passes(run, has["welt"][0])
    assert passes(run, has["outsole"][0]) == (made.truth == "real")


def pitch(svg, side):
    starts = sorted(float(each.get("x1")) for each in having(svg, "stitch", side))
    return starts[1] - starts[0] if len(starts) > 1 else None


@pytest.mark.parametrize("level", [2, 3])
@some
@given(seed=SEEDS)
def test_rim_and_underside_bear_out_the_truth(level, seed):
    made = make("false_welt", level, seed)
    rim, under = pitch(made.svg, "rim"), pitch(made.svg, "under")
    jointed = bool(having(made.svg, "joint"))
    fellow = bool(having(made.svg, "channel")) or (
        under is not None and under == pytest.approx(rim, rel=0.02)
    )
    if rim is None:
        measured = "no_stitching"
    elif jointed and fellow:
        measured = "real"
    elif having(made.svg, "guard") and not having(made.svg, "groove"):
        measured = "unsure"
    else:
        measured = "sham"
        assert having(made.svg, "groove") and not jointed and not fellow
    assert measured == made.truth


@pytest.mark.parametrize("level", [1, 2])
@some
@given(seed=SEEDS)
def test_the_long_cut_of_a_jacket_shows_how_far_the_canvas_reaches(level, seed):
    made = make("jacket_front", level, seed)
    has = layers(made.svg)
    cloth, lining = box(has["cloth"][0]), box(has["lining"][0])
    assert cloth[0] < lining[0], "cloth outside, lining inside"
    if "canvas" in has:
        canvas = box(has["canvas"][0])
        assert cloth[0] < canvas[0] < lining[0]
        part = (canvas[3] - cloth[1]) / (cloth[3] - cloth[1])
        measured = "full_canvas" if part > 0.9 else "half_canvas"
        assert part > 0.9 or 0.4 < part < 0.7
        assert ("glue" in has) == (part < 0.9), "below a short canvas the cloth is fused"
        if part < 0.9:
            glue = box(has["glue"][0])
            assert glue[3] == pytest.approx(cloth[3], abs=2) and glue[1] < canvas[3]
    else:
        measured = "glued" if "glue" in has else "soft_empty"
    assert measured == made.truth


@some
@given(seed=SEEDS)
def test_two_short_cuts_of_a_jacket_tell_half_from_full(seed):
    made = make("jacket_front", 3, seed)
    has = layers(made.svg)
    between = {
        place: tuple(name for name in ("canvas", "glue") if " ".join(sorted((name, place))) in has)
        for place in ("chest", "lower")
    }
    measured = {
        (("glue",), ("glue",)): "glued",
        (("canvas",), ("glue",)): "half_canvas",
        (("canvas",), ("canvas",)): "full_canvas",
        ((), ()): "soft_empty",
    }[between["chest"], between["lower"]]
    assert measured == made.truth
    for place, partner in (("chest", "lining"), ("lower", "facing")):
        heights = [
            box(has[" ".join(sorted((name, place)))][0])[1]
            for name in (partner, "canvas", "glue", "cloth")
            if " ".join(sorted((name, place))) in has
        ]
        assert heights == sorted(heights), "what the other hand holds above, cloth below"


def kind_of_seam(svg):
    has, sewn = layers(svg), threads(svg)
    if "tape" in has:
        return "bound"
    loops = [box(run) for run in sewn if len(run) > 8]
    if loops:
        sides = {loop[0] > 180 for loop in loops}
        return "open_pressed" if len(sides) == 2 else "overlocked"
    if len(sewn) == 1:
        return "raw"
    if not level_run(sewn[0]):
        left, right = has["left panel"][0], has["panel right"][0]
        assert all(passes(run, left) and passes(run, right) for run in sewn)
        return "flat_felled"
    return "french"


@pytest.mark.parametrize("level", [1, 2])
@some
@given(seed=SEEDS)
def test_the_cut_seam_is_finished_as_the_truth_says(level, seed):
    made = make("seam_finish", level, seed)
    assert kind_of_seam(made.svg) == made.truth


def test_in_a_french_seam_the_raw_ends_lie_between_the_two_rows():
    made = next(m for m in (make("seam_finish", 2, s) for s in range(60)) if m.truth == "french")
    first, second = sorted(box(run)[1] for run in threads(made.svg))
    for name in ("left panel", "panel right"):
        outline = layers(made.svg)[name][0]
        # A band's outline runs down one side and back up the other: its end is half way.
        ends = outline[len(outline) // 2 - 1 : len(outline) // 2 + 1]
        assert all(first < y < second for _, y in ends)


def test_tape_goes_round_the_cut_edge():
    made = next(m for m in (make("seam_finish", 1, s) for s in range(60)) if m.truth == "bound")
    has = layers(made.svg)
    for tape, name in zip(has["tape"], ("left panel", "panel right"), strict=True):
        outline = has[name][0]
        end = outline[len(outline) // 2]
        left, top, right, bottom = box(tape)
        assert left < end[0] < right and top < end[1] < bottom
        assert not inside(end, tape)


def test_loops_thrown_over_both_edges_go_round_both():
    made = next(
        m for m in (make("seam_finish", 2, s) for s in range(60)) if m.truth == "overlocked"
    )
    loops = [box(run) for run in threads(made.svg) if len(run) > 8]
    for name in ("left panel", "panel right"):
        outline = layers(made.svg)[name][0]
        tip = outline[len(outline) // 2]
        for left, top, right, bottom in loops:
            assert left < tip[0] < right and top < tip[1] < bottom


@levels
@some
@given(seed=SEEDS)
def test_each_finish_asked_for_is_an_answer_of_the_bench(level, seed):
    """The right answer here must be the right tap there; two of ours share one of the book's."""
    book = load_rule_book().kinds["jacket"].by_id["seam_inside"]
    ours = {"bound": "bound_or_french", "french": "bound_or_french"}
    made = make("seam_finish", level, seed)
    for answer in made.answers:
        option = book.option(ours.get(answer.id, answer.id))
        assert answer.id in ours or option.name.split()[0] == answer.text.split()[0]


@pytest.mark.parametrize("kind", ["cemented", "blake", "cup_sole", "injected"])
def test_a_lasted_lining_is_turned_in_under_the_insole_with_the_upper(kind):
    made = next(m for m in (make("sole", 3, s) for s in range(400)) if m.truth == kind)
    has = layers(made.svg)
    insole, lining, upper = (box(has[name][0]) for name in ("insole", "lining", "upper"))
    under = [x for x, y in has["lining"][0] if y > insole[3]]
    assert max(under) - min(under) > 40, "it runs on under the insole, and does not end in the air"
    assert lining[3] < upper[3], "the upper lies below it"


@some
@given(seed=SEEDS)
def test_the_inside_of_a_seam_shows_its_finish(seed):
    made = make("seam_finish", 3, seed)
    rows = len({each.get("y1") for each in having(made.svg, "stitch")})
    fold = bool(having(made.svg, "fold"))
    measured = {
        (True, 2): "flat_felled",
        (True, 1): "french",
    }.get((fold, rows), "")
    if not fold:
        edges = len(having(made.svg, "loops"))
        seen = {
            "fray": "raw",
            "loops": "open_pressed" if edges == 2 else "overlocked",
            "tape": "bound",
        }
        (measured,) = (kind for name, kind in seen.items() if having(made.svg, name))
    assert measured == made.truth
