"""How much there is to read and to choose from in a drawing."""

from __future__ import annotations

from drawn_geometry import at, having, ruler_scale, text_of


def answers(made):
    """More to choose from."""
    return len(made.answers)


def fewer_names(made):
    """Answers, and no lettering on the parts to lean on."""
    return len(made.answers) - len(having(made.svg, "part"))


def cuts_to_compare(made):
    return fewer_names(made) + len(having(made.svg, "layer", "cloth"))


def no_section(made):
    """The inside as it is seen, without a cut through it, at the top."""
    return fewer_names(made) - bool(having(made.svg, "layer"))


def more_rows(made):
    return len(having(made.svg, "row-name"))


def more_to_read(made):
    return len(having(made.svg, "outside")) + len(having(made.svg, "inside"))


def longer_case(made):
    said = " ".join(text_of(made.svg, "case"))
    return len(made.answers) + len(said.split()) / 100


def signs_to_read(made):
    return len("".join(text_of(made.svg, "stamped") + text_of(made.svg, "key-letter")))


def tape_to_read(made):
    """Nought before the pit asks for a difference, and halves for a closer look."""
    pits = sorted(at(one, "cx")[0] for one in having(made.svg, "pit"))
    _, nought = ruler_scale(made.svg)
    return (abs(pits[0] - nought) > 1) + (made.tolerance < 1)


def figures_before_letters(svg):
    """Figures that mean something else, and fewer letters to tell so."""
    (said,) = text_of(svg, "mark")
    return 20 * sum(one.isdigit() for one in said) - sum(one.isalpha() for one in said)


def ruler_to_read(made):
    """Nought before the edge, and something to take off."""
    _, nought = ruler_scale(made.svg)
    (edge,) = having(made.svg, "lower-edge")
    return (abs(at(edge, "x1")[0] - nought) > 1) + ("longer" in made.why)
