"""Every family of drawings, in the order in which a hand goes over a thing."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from resale.errors import ReadingError
from resale.training.drawings.bags import corners
from resale.training.drawings.children import cords
from resale.training.drawings.exercise import LEVELS, Exercise
from resale.training.drawings.family import Family
from resale.training.drawings.fastenings import button_material, button_shank, zip_teeth
from resale.training.drawings.filling import fillings, loft
from resale.training.drawings.fit import (
    bodices,
    chest_tape,
    cuts,
    hem_depths,
    hem_hang,
    linings,
    sleeve_heads,
)
from resale.training.drawings.hand_sewing import (
    glove_seams,
    hat_edges,
    hems,
    linen_hems,
    panel_edges,
    scarf_edges,
    tie_folds,
    tie_tacks,
)
from resale.training.drawings.knits import felted, gauge, joins
from resale.training.drawings.labels import (
    bag_date,
    fibre_label,
    label_age,
    label_list,
    maker_claims,
    metal_marks,
)
from resale.training.drawings.outline import colour_kept, set_whole, style_now
from resale.training.drawings.seams import (
    allowance,
    back_seam,
    pocket_check,
    seam_finish,
    sleeve_stripes,
    stitches,
)
from resale.training.drawings.shoes import (
    false_welt,
    heel_wear,
    pairs,
    sole,
    sole_left,
    vamps,
)
from resale.training.drawings.surfaces import (
    grains,
    pattern_made,
    scales,
    thread_count,
    weaves,
)
from resale.training.drawings.tailoring import jacket_front, shirt_details
from resale.training.drawings.wear import (
    edges,
    fade,
    guests,
    holes,
    leather_states,
    lining_wear,
    odours,
    pilling,
    plating,
    prints,
    stains,
    sweat,
    thinning,
)
from resale.training.drawings.whole import lock_key, loose_threads, parts

_MODULES = (
    style_now,
    colour_kept,
    set_whole,
    label_list,
    label_age,
    bag_date,
    fibre_label,
    maker_claims,
    metal_marks,
    fillings,
    pairs,
    cuts,
    chest_tape,
    weaves,
    pattern_made,
    gauge,
    thread_count,
    stitches,
    joins,
    sleeve_heads,
    sleeve_stripes,
    pocket_check,
    back_seam,
    bodices,
    button_material,
    button_shank,
    shirt_details,
    jacket_front,
    seam_finish,
    linings,
    tie_folds,
    tie_tacks,
    glove_seams,
    hems,
    linen_hems,
    scarf_edges,
    hat_edges,
    panel_edges,
    allowance,
    hem_depths,
    loose_threads,
    parts,
    zip_teeth,
    plating,
    lock_key,
    grains,
    scales,
    corners,
    sole,
    false_welt,
    heel_wear,
    sole_left,
    vamps,
    leather_states,
    loft,
    fade,
    prints,
    pilling,
    felted,
    holes,
    edges,
    thinning,
    lining_wear,
    hem_hang,
    stains,
    sweat,
    guests,
    odours,
    cords,
)

FAMILIES: Mapping[str, Family] = MappingProxyType(
    {module.FAMILY.id: module.FAMILY for module in _MODULES}
)


SEARCHED = 60
"""Drawings that are looked through for one with a certain truth."""


def drawn_as(family: str, level: int, seed: int, truth: str) -> Exercise:
    """Draw an exercise again with another of its answers true: what was taken for it.

    Parameters
    ----------
    family : str
        A key of `FAMILIES`.
    level, seed : int
        Of the exercise.
    truth : str
        Id of an answer.

    Raises
    ------
    ReadingError
        If there is no such exercise, or no such answer.
    """
    exercise = make(family, level, seed)
    if truth not in {one.id for one in exercise.answers}:
        raise ReadingError("this drawing has no such answer", remedy="name one of its answers")
    made = FAMILIES[family].make_as(level, seed, truth)
    # What hangs on more than one draw cannot be steered: the next drawing with that truth serves.
    following = (make(family, level, seed + k) for k in range(1, SEARCHED))
    return made or next((one for one in following if one.truth == truth), exercise)


def make(family: str, level: int, seed: int) -> Exercise:
    """Draw one exercise; the same three arguments give the same exercise, letter for letter.

    Parameters
    ----------
    family : str
        A key of `FAMILIES`.
    level : int
        1 to 3.
    seed : int
        0 or more; every seed is a new exercise.

    Raises
    ------
    ReadingError
        If there is no such family, level or seed.

    Examples
    --------
    >>> make("stitches", 1, 4).truth
    10.0
    """
    if family not in FAMILIES:
        raise ReadingError(
            f"there is no family of drawings {family[:40]!r}",
            remedy=f"use one of {', '.join(FAMILIES)}",
        )
    if level not in LEVELS:
        raise ReadingError(f"there is no level {level!r}", remedy="use 1, 2 or 3")
    if seed < 0:
        raise ReadingError(f"the seed {seed} is below 0", remedy="use 0 or more")
    return FAMILIES[family].make(level, seed)
