"""How much there is to read and to choose from in a drawing."""

from __future__ import annotations

from drawn_geometry import having, text_of


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
