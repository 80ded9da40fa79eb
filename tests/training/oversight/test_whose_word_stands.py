"""Who is taken for right where two, three or four read one thing."""

from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from resale.training.oversight.settled import Reading, settle, settled_for


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


ONE = st.tuples(st.booleans(), st.dictionaries(st.sampled_from("xyz"), st.sampled_from("abc")))


@settings(max_examples=150, deadline=None)
@given(st.lists(ONE, min_size=1, max_size=5))
def test_whoever_is_judged_is_judged_by_what_the_readings_settle(many):
    """Worked out anew: a single word of all leads stands, else the most of all who looked."""
    readings = [Reading(f"{k}", lead, said) for k, (lead, said) in enumerate(many)]
    for place, one in enumerate(readings):
        found = settled_for(readings, place)
        others = [each for k, each in enumerate(readings) if k != place]
        if one.lead or not others:
            assert found is None
            continue
        by_lead, last = any(each.lead for each in others), place == len(readings) - 1
        assert (found is None) == (last and not by_lead and len(readings) < 3)
        for sign in one.choices if found else ():
            said = [each.choices[sign] for each in readings if sign in each.choices]
            leads = {each.choices[sign] for each in readings if each.lead and sign in each.choices}
            count = Counter(said)
            most = [each for each in count if count[each] == max(count.values())]
            right = leads if len(leads) == 1 else set(most) if len(most) == 1 else set()
            assert (sign in found.open) == (not right)
            assert not right or {found.choices[sign]} == right
