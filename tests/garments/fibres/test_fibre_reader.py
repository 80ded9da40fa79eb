"""Reading fibre labels: what is read, what is repaired and said, what is asked."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.garments.fibres.lexicon import LEXICON, SMALL_WORDS
from resale.garments.fibres.names import FIBRES
from resale.garments.fibres.reader import FibreLabel, read_fibre_label


def contents(text):
    return {part.name: dict(part.fibres) for part in read_fibre_label(text).parts}


def kinds(text):
    return [question.kind for question in read_fibre_label(text).questions]


def said(text):
    return " ".join(read_fibre_label(text).repairs)


# ---------------------------------------------------------------- published forms
def test_a_us_exception_line_does_not_add_to_the_hundred():
    """16 CFR 303.23, example seen at old.govregs.com title16 part303 section303.23."""
    label = read_fibre_label("55% Cotton 45% Rayon Except 5% Nylon added to toe and heel")
    assert label.main.fibres == (("cotton", 55.0), ("viscose", 45.0))
    assert [(line.fibre_id, line.percent) for line in label.main.outside] == [("polyamide", 5.0)]
    assert not label.questions
    assert "outside the hundred" in label.repairs[0]


def test_the_face_and_back_of_a_pile_cloth_each_sum_to_a_hundred():
    """16 CFR 303.24, example seen at old.govregs.com title16 part303 section303.24."""
    text = "Face 60% Rayon, 40% Nylon; Back 70% Cotton, 30% Rayon"
    assert contents(text) == {
        "face": {"viscose": 60.0, "polyamide": 40.0},
        "back": {"cotton": 70.0, "viscose": 30.0},
    }
    assert kinds(text) == []


def test_ornamentation_stands_outside_the_hundred():
    """16 CFR 300.16, example seen in a mirror of the CFR text."""
    label = read_fibre_label("70% Recycled Wool 30% Acetate Exclusive of 4% Metallic Ornamentation")
    assert label.main.fibres == (("wool", 70.0), ("acetate", 30.0))
    assert label.main.lines[0].marks == ("recycled",)
    assert label.main.outside[0].fibre_id == "metal"
    assert not label.questions


def test_four_percent_elastane_is_a_plain_label():
    """16 CFR 303.3 as explained on ftc.gov: 96 % cotton 4 % spandex may be stated so."""
    assert contents("96% cotton 4% spandex") == {"whole": {"cotton": 96.0, "elastane": 4.0}}
    assert kinds("96% cotton 4% spandex") == []


@pytest.mark.parametrize(
    ("percent", "is_asked"), [(97, False), (96.9, True), (100, False), (99.5, False)]
)
def test_the_sum_may_miss_a_hundred_by_three_points(percent, is_asked):
    """The 3 points of 16 CFR 303.43 (from memory) and Reg. (EU) 1007/2011 art. 20 (seen on a
    laboratory's page, hstts.co.uk), taken over for the sum. Boundary values, so exact."""
    text = f"{percent}% cotton"
    assert ("sum" in kinds(text)) is is_asked
    if not is_asked and percent != 100:
        assert f"adds up to {percent}%; accepted" in said(text)


def test_three_points_over_a_hundred_are_accepted_and_more_are_asked():
    assert kinds("60% wool 43% silk") == []
    assert "adds up to 103%; accepted" in said("60% wool 43% silk")
    (question,) = read_fibre_label("60% wool 43.1% silk").questions
    assert question.kind == "sum"
    assert "103.1%" in question.sentence


# ---------------------------------------------------------------- many languages
@pytest.mark.parametrize(
    "text",
    [
        "95% cotton/coton/cotone 5% elastane/élasthanne/elastan",
        "95% cotton, coton, cotone, 5% elastane, elasthanne",
        "95% cotton 5% elastane\n95% coton 5% élasthanne\n95% cotone 5% elastan",
        "EN 95% cotton 5% elastane; FR 95% coton 5% élasthanne; PL 95% bawełna 5% elastan",
        "Cotton 95% Elastane 5% / Baumwolle 95% Elasthan 5%",
        "cotton coton 95% elastane elastano 5%",
        "COTTON 95%, ELASTANE 5%",
        "%95 cotton %5 elastane",
        "95 % coton\r\n5 % élasthanne",
        "95% ORGANIC COTTON 5% EL 95% COTON 5% ÉLASTHANNE",
    ],
)
def test_one_share_in_many_languages_counts_once(text):
    assert contents(text) == {"whole": {"cotton": 95.0, "elastane": 5.0}}
    assert kinds(text) == []


@pytest.mark.parametrize(
    "words",
    [
        # From memory, as the published list of virgin wool names.
        "virgin wool",
        "laine vierge",
        "Schurwolle",
        "lana vergine",
        "lana virgen",
        "lã virgem",
        "scheerwol",
        "żywa wełna",
        "ren ny ull",
        "pure new wool",
    ],
)
def test_virgin_wool_is_wool_that_says_virgin(words):
    (line,) = read_fibre_label(f"100% {words}").main.lines
    assert (line.fibre_id, line.percent, line.marks) == ("wool", 100.0, ("virgin",))


@pytest.mark.parametrize(
    ("text", "fibre_id"),
    [
        ("100% lin", "flax"),
        ("100% len", "flax"),
        ("100% ull", "wool"),
        ("100% octan", "acetate"),
        ("100% lã", "wool"),
        ("100% LA", "wool"),
        ("100% elasthanne", "elastane"),
        ("100% merino wool", "wool"),
        ("100% camel hair", "camel"),
        ("100% bamboo", "viscose"),
    ],
)
def test_short_and_foreign_names_are_read(text, fibre_id):
    assert contents(text) == {"whole": {fibre_id: 100.0}}
    assert kinds(text) == []


# ---------------------------------------------------------------- parts
@pytest.mark.parametrize(
    ("text", "parts"),
    [
        (
            "Shell: 65% polyester 35% cotton; lining 100% viscose",
            {"shell": {"polyester": 65.0, "cotton": 35.0}, "lining": {"viscose": 100.0}},
        ),
        (
            "Obermaterial/Shell: 100% Baumwolle\nFutter/doublure/fodera: 100% Viskose",
            {"shell": {"cotton": 100.0}, "lining": {"viscose": 100.0}},
        ),
        (
            "100% cotton shell, 100% polyester lining",
            {"shell": {"cotton": 100.0}, "lining": {"polyester": 100.0}},
        ),
        (
            "100% wool; sleeve lining 100% cupro",
            {"whole": {"wool": 100.0}, "sleeve_lining": {"cupro": 100.0}},
        ),
        (
            "Shell and lining: 100% silk",
            {"shell": {"silk": 100.0}, "lining": {"silk": 100.0}},
        ),
        (
            "Shell 100% nylon exclusive of trim. Fill: 90% down 10% feathers",
            {"shell": {"polyamide": 100.0}, "fill": {"down": 90.0, "feather": 10.0}},
        ),
    ],
)
def test_parts_keep_their_own_hundred(text, parts):
    assert contents(text) == parts
    assert kinds(text) == []


@pytest.mark.parametrize(
    "head",
    [
        "Outer fabric",
        "Obermaterial",
        "Tissu extérieur",
        "Tessuto esterno",
        "Tejido exterior",
        "Tecido principal",
        "Buitenstof",
        "Materiał wierzchni",
        "Tkanina zewnętrzna",
        "Yttermaterial",
    ],
)
def test_the_outer_cloth_is_known_by_what_labels_of_each_language_call_it(head):
    """Trade words from memory, as in the file of words."""
    label = read_fibre_label(f"{head}: 95% viscose 5% elastane")
    assert contents(f"{head}: 95% viscose 5% elastane") == {
        "shell": {"viscose": 95.0, "elastane": 5.0}
    }
    assert label.questions == ()


def test_the_main_part_is_the_shell_wherever_it_stands():
    assert read_fibre_label("lining 100% silk; shell 100% wool").main.name == "shell"
    assert read_fibre_label("100% wool; lining 100% silk").main.name == "whole"
    assert read_fibre_label("lining 100% silk").main.name == "lining"
    assert FibreLabel().main is None


# ---------------------------------------------------------------- repairs are said
@pytest.mark.parametrize(
    ("text", "parts", "sentence"),
    [
        ("100% cottn", {"cotton": 100.0}, "Read 'cottn' as 'cotton', one letter away."),
        ("cotton", {"cotton": 100.0}, "names only cotton, without a percentage; read as 100%"),
        ("pure wool", {"wool": 100.0}, "read as 100%"),
        ("1OO% silk", {"silk": 100.0}, "Read '1OO' as the figure 100."),
        ("lOO% silk", {"silk": 100.0}, "Read 'lOO' as the figure 100."),
        ("52,5% lin 47,5% coton", {"flax": 52.5, "cotton": 47.5}, "Read '52,5' as '52.5'."),
        ("65%poly 35%cott.", {"polyester": 65.0, "cotton": 35.0}, "Read 'poly' as polyester."),
        ("100% PES", {"polyester": 100.0}, "Read the code 'PES' as polyester"),
        ("65/35 polycotton", {"polyester": 65.0, "cotton": 35.0}, "in the order of the fibres"),
        ("65 wool 35 silk", {"wool": 65.0, "silk": 35.0}, "Read '65' as 65%."),
        ("100% bamboo", {"viscose": 100.0}, "as viscose made from bamboo"),
        ("100% wool super 120s", {"wool": 100.0}, "Left out 'super 120s'"),
        ("Made in Nowhere\n100% silk 30°C", {"silk": 100.0}, "Left out 'Made in Nowhere'"),
        ("50% vis-\ncose 50% silk", {"viscose": 50.0, "silk": 50.0}, ""),
    ],
)
def test_what_is_repaired_is_said(text, parts, sentence):
    assert contents(text) == {"whole": parts}
    assert sentence in said(text)
    assert kinds(text) == []


# ---------------------------------------------------------------- questions
@pytest.mark.parametrize(
    ("text", "kind", "fragment"),
    [
        ("", "empty", "The label is empty"),
        (" \n\t", "empty", "The label is empty"),
        ("...", "empty", "No fibre was found"),
        ("60% cotton 30% wool", "sum", "adds up to 90%, not 100%"),
        ("150% cotton", "percent_range", "'150%', which is not over 0 and up to 100"),
        ("0% cotton 100% wool", "percent_range", "'0%'"),
        ("80% wool, polyamide", "missing_percent", "nylon without a percentage; 20% would"),
        ("wool and silk", "missing_percent", "names wool, silk"),
        ("wool blend", "missing_percent", "names wool without a percentage"),
        ("?% wool", "missing_percent", "names wool without a percentage"),
        ("95% cotton 5% other fibres", "other_fibres", "5% other fibres"),
        ("95% Baumwolle 5% sonstige Fasern", "other_fibres", "5% other fibres"),
        ("100%", "missing_fibre", "gives 100% and names no fibre"),
        ("Lining:\nShell: 100% silk", "empty_part", "The lining is named"),
        ("size 40 100% silk", "loose_figure", "'40' without a percent sign"),
        ("95% blorptex 5% elastane", "unknown_word", "'blorptex'"),
        ("hello world", "unknown_word", "'hello', 'world'"),
        ("100% ?wool", "unknown_word", "'wool', not known here"),
        ("100% fur", "caution", "hold it for a lead"),
        ("100% vicuña", "caution", "protected animal"),
        ("Contains non-textile parts of animal origin. 100% wool", "caution", "local law decides"),
    ],
)
def test_what_cannot_be_read_is_asked_in_one_sentence(text, kind, fragment):
    found = [q for q in read_fibre_label(text).questions if q.kind == kind]
    assert len(found) == 1
    assert fragment in found[0].sentence
    assert found[0].sentence.endswith(".")


def test_an_unknown_word_keeps_its_share_and_is_never_guessed():
    label = read_fibre_label("95% pollyestter 5% elastane")
    assert label.main.fibres == (("unknown", 95.0), ("elastane", 5.0))
    (question,) = label.questions
    assert (question.word, question.suggestion) == ("pollyestter", "polyester")
    assert "closest known is polyester" in question.sentence


def test_a_word_one_letter_from_two_meanings_is_asked():
    # 'linin' is one letter from linen and from lining.
    label = read_fibre_label("100% linin")
    assert label.main.fibres == (("unknown", 100.0),)
    assert [question.kind for question in label.questions] == ["unknown_word"]


def test_an_unknown_word_beside_a_known_fibre_is_asked_and_adds_nothing():
    label = read_fibre_label("95% cotton/puuvilla 5% elastane")
    assert label.main.fibres == (("cotton", 95.0), ("elastane", 5.0))
    assert "another name for cotton" in label.questions[0].sentence


def test_the_same_fibre_with_and_without_a_mark_stays_two_lines():
    part = read_fibre_label("50% cotton 50% recycled cotton").main
    assert part.fibres == (("cotton", 100.0),)
    assert {line.marks for line in part.lines} == {(), ("recycled",)}


def test_a_page_pasted_by_mistake_gives_one_question():
    label = read_fibre_label("100% cotton " * 200)
    assert [question.kind for question in label.questions] == ["too_long"]
    assert label.parts == ()
    assert read_fibre_label("100% cotton".ljust(2000)).main.fibres == (("cotton", 100.0),)


# ---------------------------------------------------------------- properties
PIECES = st.sampled_from(
    [" ".join(words) for words in LEXICON]
    + sorted(SMALL_WORDS)
    + ["5%", "95%", "100%", "60 %", "40", "?%", "120%", "0%", "33,3%", "%20", "1OO%", "3.333%"]
    + ["blorp", "?wool", "CO", "EL", "SE", "se", "棉", "recycled", "except", "65/35"]
)
JOINTS = st.sampled_from([" ", ", ", "; ", "\n", ": ", "/", "-", ". ", " (", ") ", "% ", ""])
LABELS = st.lists(st.tuples(PIECES, JOINTS), min_size=1, max_size=10).map(
    lambda pairs: "".join(piece + joint for piece, joint in pairs)
)


@given(st.one_of(st.text(max_size=300), LABELS))
@settings(max_examples=150, deadline=None)
def test_no_text_whatever_raises_and_none_comes_back_silent(text):
    label = read_fibre_label(text)
    assert label.parts or label.questions
    for part in label.parts:
        assert all(share > 0 for _, share in part.fibres)


@given(st.data())
@settings(max_examples=100, deadline=None)
def test_a_sound_label_in_any_language_is_read_without_a_question(data):
    plain = sorted(FIBRES.keys() - {"other_fibres"})
    ids = data.draw(st.lists(st.sampled_from(plain), min_size=1, max_size=4, unique=True))
    ids = [fibre_id for fibre_id in ids if not FIBRES[fibre_id].caution] or ["cotton"]
    cuts = data.draw(
        st.sets(st.integers(1, 99), min_size=len(ids) - 1, max_size=len(ids) - 1).map(sorted)
    )
    shares = [high - low for low, high in zip([0, *cuts], [*cuts, 100], strict=True)]
    words = [
        data.draw(st.sampled_from([w for names in FIBRES[i].names.values() for w in names]))
        for i in ids
    ]
    text = ", ".join(f"{share}% {word}" for share, word in zip(shares, words, strict=True))
    label = read_fibre_label(text)
    assert dict(label.main.fibres) == dict(zip(ids, map(float, shares), strict=True))
    assert label.questions == ()
