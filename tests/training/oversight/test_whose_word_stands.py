"""Who is taken for right where two, three or four read one thing."""

from resale.training.oversight.settled import Reading, settle


def said(*answers):
    """Readings of one sign: a capital is a lead's."""
    return [Reading(f"{n}", one.isupper(), {"stain": one.lower()}) for n, one in enumerate(answers)]


def test_a_leads_word_stands_against_any_number():
    assert settle(said("a", "a", "B")).choices == {"stain": "b"}
    assert not settle(said("a", "a", "B")).open


def test_two_against_one_settle_what_no_lead_read():
    assert not settle(said("a", "b", "a")).open
    assert settle(said("a", "b", "a")).choices == {"stain": "a"}
    assert settle(said("a", "b")).open == {"stain"}
    assert settle(said("a", "b", "c")).open == {"stain"}


def test_leads_who_part_are_settled_by_the_others():
    assert settle(said("A", "B", "b")).choices == {"stain": "b"}
    assert settle(said("A", "B")).open == {"stain"}


def test_a_sign_that_one_person_looked_at_is_theirs():
    one, other = Reading("Ay", False, {"stain": "a"}), Reading("By", True, {"hole": "b"})
    found = settle([one, other])
    assert found.choices == {"stain": "a", "hole": "b"} and not found.open
    assert found.by == ("By", "Ay")
