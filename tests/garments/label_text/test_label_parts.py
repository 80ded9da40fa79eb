"""Words of a label parted into fibres, care and neither; expected values by hand."""

from hypothesis import given, settings
from hypothesis import strategies as st

from resale.garments.label_text.parted import LONGEST_CARE, ReadWord, parted


def words(*lines: str, unsure: str = "") -> list[ReadWord]:
    return [
        ReadWord(word, 55 if word == unsure else 95, place)
        for place, line in enumerate(lines)
        for word in line.split()
    ]


def test_fibres_care_and_the_rest_go_their_ways():
    found = parted(
        words("SHELL: 65% polyester 35% cotton", "LINING: 100% viscose", "Wash 30", "Size 40")
    )
    assert found.fibres == "SHELL: 65% polyester 35% cotton, LINING: 100% viscose"
    assert found.care == "Wash 30"
    assert found.left_out == "Size 40"
    assert found.unsure == ()


def test_a_line_with_both_is_cut_between_them():
    assert parted(words("70% Schurwolle 30% Polyamid nicht waschen")).care == "nicht waschen"
    other = parted(words("prać w 30 100% bawełna"))
    assert (other.fibres, other.care) == ("100% bawełna", "prać w 30")


def test_a_line_that_is_care_to_its_last_word_is_not_cut_at_a_word_of_fibres():
    assert parted(words("70% laine 30% soie", "Lavage à la main")).care == "Lavage à la main"


def test_a_phrase_that_a_narrow_label_broke_is_whole_again():
    """Read line by line, the first would forbid nothing and the second allow the dryer."""
    assert parted(words("100% wool", "do not tumble", "dry")).care == "do not tumble dry"


def test_what_was_read_unsurely_and_what_nobody_knows_is_named_word_by_word():
    found = parted(words("100% zzyzxa cotton", "wash 30, gluggl", unsure="cotton"))
    assert {(one.text, one.why) for one in found.unsure} == {
        ("zzyzxa", "unknown"),
        ("cotton", "unclear"),
        ("gluggl", "unknown"),
    }


def test_nothing_gives_nothing():
    assert parted([]) == parted(words("??", "Made in Somewhere")[:0])
    assert parted(words("@@ ## ~~")).fibres == ""


WORD = st.text(st.characters(blacklist_categories=("Cs", "Zs", "Cc", "Zl", "Zp")), min_size=1)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.lists(st.tuples(WORD, st.integers(0, 100)), min_size=1), max_size=6))
def test_every_word_is_kept_once_whatever_was_read(lines):
    said = [ReadWord(text, how, at) for at, line in enumerate(lines) for text, how in line]
    found = parted(said)
    assert sorted(one.text for one in found.words) == sorted(one.text for one in said)
    assert len(found.care) <= LONGEST_CARE
