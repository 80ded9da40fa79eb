"""By what a higher level of each family is harder: measured in the drawing.

A measure may be None where a drawing with that truth does not have it.
"""

from __future__ import annotations

from difflib import SequenceMatcher
from itertools import pairwise

from drawn_fit import (
    apart,
    faint,
    near_an_edge,
    panel_apart,
    shoulder_drop,
    unlike_in_length,
    unlike_sides,
    widest,
)
from drawn_geometry import at, box, contrast, having, points, ruler_scale, text_of, tile_colour
from drawn_measures import NOMINAL, heel_wear, pocket_out, scale_shapes, sleeve_out
from drawn_outlines import colour_to_spare, finest_step, outline_of, yarn_left
from drawn_reading import (
    answers,
    cuts_to_compare,
    fewer_names,
    figures_before_letters,
    longer_case,
    more_rows,
    more_to_read,
    no_section,
    ruler_to_read,
    signs_to_read,
    tape_to_read,
)
from drawn_sewing import folds_of_a_tie, starts, stitches_in_tape, straying, threads_in_window


def fainter_thread(made):
    return -contrast(
        having(made.svg, "stitch")[0].get("stroke"), tile_colour(made.svg, "cloth-main")
    )


def smaller_miss(made):
    return None if made.truth == "met" else -sleeve_out(made.svg)


def smaller_check_miss(made):
    return None if made.truth in {"met", "slant"} else -max(pocket_out(made.svg))


def finer_scale(made):
    return -ruler_scale(made.svg)[0]


def steps_of_the_sum(made):
    """Nought off the seam asks for a sum; a slanting edge asks where to measure."""
    _, nought = ruler_scale(made.svg)
    (seam,) = having(made.svg, "seam")
    edge = points(having(made.svg, "allowance", "right")[0])
    return (abs(at(seam, "x1")[0] - nought) > 1) + (abs(edge[1][0] - edge[2][0]) > 1)


def smaller_gap(made):
    if made.truth == "flat":
        return None
    cloth = box(points(having(made.svg, "cloth")[0]))[1]
    return box(points(having(made.svg, "button")[0]))[3] - cloth


def places_to_look(made):
    """Places seen at once, and how faint the details are."""
    stripes = having(made.svg, "yoke-stripe")
    if len(having(made.svg, "label")) < 3:
        return 0.0
    faint = contrast(stripes[0].get("stroke"), "#e9edf0")
    return 10.0 - faint


def fainter_teeth(made):
    tooth = having(made.svg, "tooth")
    if made.level == 1 or not tooth:
        return 0.0
    return 10.0 - contrast(tooth[0].get("fill"), "#2b2622") + 5 * made.asks_number


def fainter_wear(made):
    bare = having(made.svg, "bare")
    if not bare:
        return None
    colour = bare[0].get("fill") if made.truth == "patches" else bare[0].get("stroke")
    return -contrast(colour, having(made.svg, "plating")[0].get("fill"))


def shallower_wear(made):
    if made.truth == "level":
        return None
    return -heel_wear(made.svg)[1]


def fewer_lines_to_read(made):
    return -len(having(made.svg, "tick")) - len(having(made.svg, "rule"))


def smaller_step_between_grades(made):
    nominal = sorted(NOMINAL[answer.id][0] for answer in made.answers)
    return -min(b - a for a, b in pairwise(nominal))


def fainter_pills(made):
    pills = having(made.svg, "pill")
    if not pills:
        return None
    return -contrast(pills[0].get("fill"), tile_colour(made.svg, "cloth-worn"))


def nearer_to_the_limit(made):
    """Answers, and how near to three inches the cord ends."""
    cords = having(made.svg, "cord", "waist")
    if not cords:
        return None
    unit, _ = ruler_scale(made.svg)
    left, _, right, _ = box(points(cords[0]))
    return len(made.answers) - abs((right - left) / unit - 3.0)


def harder_button(made):
    """Answers on a smaller face; two buttons to compare at the top."""
    return len(made.answers) + 5 * len(having(made.svg, "two"))


def smaller_damage(made):
    """Answers, and how small the gap in the cloth is."""
    gaps = [box(points(each)) for each in having(made.svg, "opening")]
    if not gaps:
        return None
    return len(made.answers) - max(right - left for left, _, right, _ in gaps) / 100


def looks_older(made):
    """Answers, and new things in old clothes: a woven label with care symbols."""
    return len(made.answers) + bool(having(made.svg, "rib") and having(made.svg, "care-symbols"))


def spelt_nearer(made):
    names = sorted({each.text for each in having(made.svg, "claim")})
    if len(names) != 2:
        return None
    # Two letters swapped leave the width of the word as it was; one that is missing does not.
    return SequenceMatcher(None, *names).ratio() + (sorted(names[0]) == sorted(names[1]))


def longer_repeat(made):
    """Scales of different shapes before a print begins again."""
    return len(scale_shapes(made.svg)) if made.truth == "printed" else None


def fainter_tails(made):
    tails = having(made.svg, "tail")
    ground = tile_colour(made.svg, "cloth-main")
    return -contrast(tails[0].get("stroke"), ground) if tails else None


def smaller_part_gone(made):
    """How wide the part is that is not there: belt, hood, button or strap."""
    if made.truth != "missing":
        return None
    svg = made.svg
    if having(svg, "belt-loop") and not having(svg, "belt"):
        return -160
    if having(svg, "stud") and not having(svg, "hood"):
        return -112
    return -12


def nearer_number(made):
    """Answers, and figures that another key's number shares with the lock's."""
    lock, keys = text_of(made.svg, "lock-number"), text_of(made.svg, "key-number")
    strange = [len(set(key) & set(lock[0])) for key in keys if lock and key != lock[0]]
    return len(made.answers) + max(strange, default=0)


def fainter_stain(made):
    stain = having(made.svg, "stain")[0]
    return -contrast(stain.get("fill"), tile_colour(made.svg, "cloth-main"))


def boards_nearer(made):
    """The two outlines of the board that are hardest to tell apart."""
    many = [outline_of(made.svg, name) for name in ("today", "wanted_again", "dated")]
    pairs = ((0, 1), (0, 2), (1, 2))
    return -min(sum(abs(p - q) for p, q in zip(many[a], many[b], strict=True)) for a, b in pairs)


def strays(made):
    """Trousers that do not belong, and a lot of the same figures in another order."""
    (lot,) = text_of(made.svg, "jacket-lot")
    others = [one for one in text_of(made.svg, "other-lot") if one != lot]
    return len(others) + sum(sorted(one) == sorted(lot) for one in others)


def hardly_thinner(made):
    return yarn_left(made.svg) if made.truth == "thin" else None


def rarely(truth, measure):
    """A measure that only drawings with one truth have."""
    return lambda made: measure(made.svg) if made.truth == truth else None


def lower(measure):
    """Smaller is harder."""
    return lambda svg: -measure(svg)


def finer_steps(made):
    return None if made.truth != "woven_in" else -finest_step(having(made.svg, "front")[0])


HARDER = {
    "fillings": lambda made: len(made.answers) + bool(having(made.svg, "wound")),
    "loft": lambda made: near_an_edge(made.svg),
    "sweat": rarely("shadow", lambda svg: faint(svg, "mark", "cloth-main", "fill")),
    "prints": rarely("flaking", lower(lambda svg: widest(svg, "bare"))),
    "panel_edges": fewer_names,
    "scarf_edges": rarely(
        "hand_roll", lower(lambda svg: at(having(svg, "roll")[0], "stroke-width")[0])
    ),
    "linen_hems": rarely("mitred", lambda svg: faint(svg, "mitre", "cloth-main")),
    "tie_folds": lower(lambda made: folds_of_a_tie(made.svg)[2]),
    "tie_tacks": lambda made: faint(made.svg, "stitch", "cloth-main"),
    "glove_seams": rarely("by_hand", lambda svg: faint(svg, "stitch", "tile-leather")),
    "hems": rarely("topstitched", lambda svg: faint(svg, "through", "cloth-face")),
    "knit_gauge": lambda made: stitches_in_tape(made.svg)[0],
    "knit_joins": lambda made: len(starts(having(made.svg, "loop-leg")[0])),
    "thread_count": lambda made: sum(threads_in_window(made.svg)),
    "bodices": answers,
    "cuts": rarely("roomy", lower(shoulder_drop)),
    "sleeve_heads": rarely("strained", lambda svg: faint(svg, "drag", "cloth-main")),
    "linings": lambda made: (
        -apart(tile_colour(made.svg, "tile-lining"), tile_colour(made.svg, "cloth-main"))
    ),
    "hem_hang": rarely("dropped", lower(unlike_sides)),
    "pairs": rarely("sizes_differ", unlike_in_length),
    "vamps": answers,
    "lining_wear": rarely("one_tear", lower(lambda svg: widest(svg, "slit", 1))),
    "hem_depths": ruler_to_read,
    "hat_edges": rarely("rough", lower(straying)),
    "leather_states": rarely("peeling", lower(lambda svg: widest(svg, "bare"))),
    "metal_marks": rarely("plated", figures_before_letters),
    "chest_tape": tape_to_read,
    "felted": lambda made: len(made.answers) + len(starts(having(made.svg, "loop-leg")[0])) / 100,
    "corners": rarely("pale", lower(panel_apart)),
    "style_now": boards_nearer,
    "colour_kept": lambda made: colour_to_spare(made.svg, made.truth),
    "set_whole": strays,
    "bag_date": signs_to_read,
    "pattern_made": finer_steps,
    "edges": answers,
    "thinning": hardly_thinner,
    "label_list": more_rows,
    "label_age": looks_older,
    "fibre_label": more_to_read,
    "maker_claims": spelt_nearer,
    "weaves": answers,
    "grains": answers,
    "scales": longer_repeat,
    "loose_threads": fainter_tails,
    "parts": smaller_part_gone,
    "lock_key": nearer_number,
    "stains": fainter_stain,
    "guests": answers,
    "odours": longer_case,
    "stitches": fainter_thread,
    "sleeve_stripes": smaller_miss,
    "pocket_check": smaller_check_miss,
    "back_seam": finer_scale,
    "button_material": harder_button,
    "button_shank": smaller_gap,
    "shirt_details": places_to_look,
    "jacket_front": cuts_to_compare,
    "seam_finish": no_section,
    "allowance": steps_of_the_sum,
    "zip": fainter_teeth,
    "plating": fainter_wear,
    "sole": fewer_names,
    "false_welt": answers,
    "heel_wear": shallower_wear,
    "sole_left": fewer_lines_to_read,
    "fade": smaller_step_between_grades,
    "pilling": fainter_pills,
    "holes": smaller_damage,
    "cords": nearer_to_the_limit,
}


SMALLEST = {"sleeve_stripes", "pocket_check"}
