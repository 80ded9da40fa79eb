"""How a sole is fixed, each construction as layers and threads of a section at the forepart.

The plan shows half a shoe: the middle of the foot at the left, the rim at the right. Common
practice in shoemaking, no source.
"""

from __future__ import annotations

from collections.abc import Callable

from resale.training.drawings.section import Section, band, sampled
from resale.training.drawings.svg import Point

ZOOM = 1.4
ORIGIN: Point = (77.7, 61.4)
MIDDLE = 86.0
GROUND = 230.0
SOLE_TOP = 198.0
# How much the insole is raised by a lining that is turned in under it.
UNDERLAID = 6.0
# The upper's line down to the feather edge.
FALL: tuple[Point, ...] = ((238, 52), (252, 84), (259, 116), (258, 146))
LINING_FALL: tuple[Point, ...] = ((229, 54), (242, 86), (248, 116), (247, 146))
RIB: tuple[Point, ...] = ((196, 177), (235, 177), (235, 195), (225, 195), (225, 182), (196, 182))


def _lasted(section: Section, *, end: float = 176.0) -> None:
    """Upper and lining pulled in together under the insole."""
    turned: tuple[Point, ...] = ((245, 160), (239, 170), (226, 173.5), (end + 8, 174))
    section.layer("lining", "lining", band([*LINING_FALL, *turned], 6))
    section.layer("upper", "upper", band([*FALL, (250, 173), (232, 183), (end, 184)], 10))


def _upright(section: Section) -> None:
    """Upper and lining brought straight down beside a rib."""
    section.layer("lining", "lining", band([*LINING_FALL, (241, 174), (239, 195)], 6))
    section.layer("upper", "upper", band([*FALL, (250, 174), (247, 195)], 9))


def _insole(section: Section, lift: float = 0.0) -> None:
    section.block("insole", "pale", MIDDLE, 164 - lift, 238, 177 - lift, round_right=5)


def _outsole(
    section: Section, right: float, material: str = "leather", top: float = SOLE_TOP
) -> None:
    section.block("outsole", material, MIDDLE, top, right, GROUND, round_right=4)


def _cemented(section: Section) -> None:
    _outsole(section, 262, "rubber", 195)
    section.block("filler", "foam", MIDDLE, 177, 178, 190)
    _lasted(section)
    section.block("glue", "glue", MIDDLE, 190, 255, 195)
    _insole(section, UNDERLAID)


def _blake(section: Section) -> None:
    _outsole(section, 264, top=190)
    section.block("filler", "cork", MIDDLE, 177, 178, 190)
    _lasted(section)
    _insole(section, UNDERLAID)
    section.thread([(202, 155), (209, 155), (209, 224), (202, 224)], "inside")


def _welted(section: Section) -> None:
    section.block("filler", "cork", MIDDLE, 177, 246, SOLE_TOP)
    _upright(section)


def _welt(section: Section) -> None:
    section.layer("welt", "leather", [(252, 182), (312, 185), (312, SOLE_TOP), (251, SOLE_TOP)])


def _seams(section: Section, start: Point) -> None:
    section.thread([start, (238, 189), (264, 190)], "inseam")
    section.thread([(294, 181), (294, 224)], "outseam")


def _goodyear(section: Section) -> None:
    _outsole(section, 314)
    _welted(section)
    _welt(section)
    section.layer("rib", "canvas", RIB)
    _insole(section)
    _seams(section, (221, 188))


def _hand(section: Section) -> None:
    _outsole(section, 314)
    _welted(section)
    _welt(section)
    # Insole and holdfast are one piece of leather, carved.
    section.layer(
        "insole",
        "pale",
        [
            (MIDDLE, 159),
            (232, 159),
            (238, 165),
            (236, 180),
            (235, 194),
            (224, 194),
            (220, 184),
            (208, 173),
            (196, 184),
            (MIDDLE, 184),
        ],
    )
    _seams(section, (210, 181))


def _storm(section: Section) -> None:
    _outsole(section, 314)
    _welted(section)
    lip = sampled([(263, 146), (271, 145), (274, 156), (275, 168), (279, 180), (292, 184)])
    section.layer(
        "welt",
        "leather",
        [
            *lip,
            (312, 185),
            (312, SOLE_TOP),
            (251, SOLE_TOP),
            (252, 186),
            (254, 175),
            (261, 158),
        ],
    )
    section.layer("rib", "canvas", RIB)
    _insole(section)
    _seams(section, (221, 188))


def _stitch_down(section: Section) -> None:
    _outsole(section, 316)
    section.block("midsole", "leather", MIDDLE, 188, 315, SOLE_TOP)
    section.block("filler", "foam", MIDDLE, 177, 256, 188)
    section.layer("lining", "lining", band([*LINING_FALL, (244, 170), (232, 182), (190, 183)], 6))
    section.layer("upper", "upper", band([*FALL, (262, 168), (278, 181), (313, 182)], 10))
    _insole(section)
    section.thread([(296, 174), (296, 224)], "outseam")


def _moccasin(section: Section) -> None:
    _outsole(section, 268, "rubber")
    section.layer(
        "upper",
        "upper",
        band(
            [
                (172, 84),
                (182, 97),
                (214, 104),
                (246, 126),
                (259, 158),
                (240, 186),
                (190, 192),
                (MIDDLE, 192),
            ],
            11,
        ),
    )
    section.layer("plug", "upper", band([(MIDDLE, 104), (120, 103), (152, 96), (163, 83)], 10))
    section.thread([(150, 88), (186, 90)], "plug")


def _cup(section: Section) -> None:
    section.layer(
        "outsole",
        "rubber",
        [
            (MIDDLE, 190),
            (240, 190),
            (254, 172),
            (258, 138),
            (282, 138),
            (284, 200),
            (287, GROUND - 5),
            (283, GROUND),
            (MIDDLE, GROUND),
        ],
    )
    section.block("filler", "foam", MIDDLE, 177, 178, 190)
    _lasted(section)
    _insole(section, UNDERLAID)
    section.thread([(238, 154), (288, 154)], "side")


def _injected(section: Section) -> None:
    # The lump flows round the lasted edge and up against the upper: no joint, no thread.
    rim = sampled([(262, 160), (270, 156), (280, 162), (287, 182), (288, 206), (281, GROUND)])
    section.layer(
        "outsole",
        "foam",
        [
            (MIDDLE, 177),
            (190, 177),
            (240, 182),
            (252, 172),
            *rim,
            (MIDDLE, GROUND),
        ],
    )
    _lasted(section)
    _insole(section, UNDERLAID)


BUILD: dict[str, Callable[[Section], None]] = {
    "injected": _injected,
    "cemented": _cemented,
    "cup_sole": _cup,
    "moccasin": _moccasin,
    "blake": _blake,
    "stitch_down": _stitch_down,
    "goodyear": _goodyear,
    "storm": _storm,
    "hand": _hand,
}

PARTS: dict[str, tuple[tuple[str, float, float], ...]] = {
    "injected": (("sole", 40, 214), ("insole", 110, 144)),
    "cemented": (("outsole", 42, 218), ("glue", 94, 184), ("insole", 142, 144)),
    "moccasin": (("outsole", 42, 218),),
    "blake": (("outsole", 42, 214), ("filling", 94, 171), ("insole", 144, 144)),
    "stitch_down": (("outsole", 42, 218), ("midsole", 96, 184), ("insole", 150, 152)),
    "goodyear": (
        ("outsole", 42, 218),
        ("filling", 94, 178),
        ("insole", 142, 152),
        ("rib", 190, 165),
    ),
}
"""Parts to letter at the first level: name, place along the paper, depth of the leader."""

TELLING: dict[str, tuple[tuple[Point, float, float, str], ...]] = {
    "injected": (((272, 186), 32, 58, "one lump round the edge"),),
    "cemented": (((172, 192.5), 124, 13, "glue only, no thread"),),
    "cup_sole": (((264, 154), 42, 20, "thread through wall and upper"),),
    "moccasin": (((150, 192), 104, 16, "upper runs under the foot"),),
    "blake": (((207, 192), 20, 56, "one thread, inside to outside"),),
    "stitch_down": (((292, 192), 38, 56, "upper turned out and sewn"),),
    "goodyear": (((216, 184), 38, 24, "rib fixed under the insole"), ((294, 203), 18, 40, "")),
    "storm": (((271, 162), 22, 32, "welt stands up the upper"),),
    "hand": (((217, 182), 40, 26, "ridge carved from the insole"), ((294, 203), 18, 40, "")),
}
"""What tells each apart: centre of a ring on the plan, its two radii on the paper, words."""
