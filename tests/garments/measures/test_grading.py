"""From counts, numbers and label text to options of a signal."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resale.errors import ReadingError
from resale.garments.measures.grading import GRAMS_PER_OUNCE_A_YARD, measure
from resale.garments.rulebook.rule_book import load_rule_book
from resale.garments.rulebook.signals import Signal


def signal(measure_of, options, **more):
    """A signal with these options, of which only ids, names and the measure matter here."""
    share = 1 / len(options)
    return Signal.model_validate(
        {
            "id": "tried",
            "name": "Tried",
            "zone": "cloth",
            "seconds": 5,
            "hands": "Hold it up to the light.",
            "see": "What there is to see.",
            "fools": "What looks like it and is not.",
            "source": "common practice, no source",
            "shape": "choice",
            "about": "build",
            "measure": measure_of,
            "options": [
                {
                    "id": name.lower().replace(" ", "_"),
                    "name": name,
                    "effect": 1.0,
                    "doubt": 0.1,
                    "share": share,
                    "reason": "For the test.",
                }
                for name in options
            ],
            **more,
        }
    )


STITCHES = signal({"by": "stitches", "cuts": [8, 10, 12]}, ["Coarse", "Low", "Usual", "Fine"])
HEM = signal(
    {"by": "number", "unit": "mm", "least": 0, "most": 80, "cuts": [6, 10]},
    ["Narrow", "Middling", "Broad"],
)
SOLE = signal(
    {"by": "number", "unit": "%", "least": 0, "most": 100, "cuts": [30]}, ["Thin", "Thick"]
)
DENIM = signal(
    {"by": "number", "unit": "oz/yd²", "least": 3, "most": 30, "cuts": [12]}, ["Light", "Heavy"]
)
WOOL_FIRST = [
    {"option": "wool", "fibres": ["wool"], "at_least": 90},
    {"option": "synthetic", "classes": ["synthetic"], "at_least": 60},
    {"option": "wool_blend", "fibres": ["wool"], "at_least": 40},
    {"option": "viscose", "fibres": ["viscose", "modal"], "at_least": 50},
    {"option": "synthetic", "classes": ["synthetic"], "at_least": 50},
    {"option": "other", "at_least": 0},
]
SHELL = signal(
    {"by": "fibres", "part": "shell", "rules": WOOL_FIRST},
    ["Wool", "Synthetic", "Wool blend", "Viscose", "Bamboo", "Other"],
)
LINING = signal(
    {"by": "fibres", "part": "lining", "rules": WOOL_FIRST},
    ["Wool", "Synthetic", "Wool blend", "Viscose", "Other"],
)


@pytest.mark.parametrize(
    ("text", "option", "said"),
    [
        (
            "14 in 1.25 in",
            "usual",
            "14 in 1.25 in is 11.2 to the inch, give or take 0.8: usual, perhaps fine.",
        ),
        ("33 in 3 in", "usual", "33 in 3 in is 11.0 to the inch, give or take 0.3: usual."),
        (
            "9 per inch",
            "low",
            "9 per inch is 9.0 to the inch, give or take 1.0: low, perhaps usual.",
        ),
        (
            "7",
            "coarse",
            "7 over ruler, 1 inch is 7.0 to the inch, give or take 1.0: coarse, perhaps low.",
        ),
        (
            "5 per cm",
            "fine",
            "5 per cm is 12.7 to the inch, give or take 2.5: fine, perhaps usual.",
        ),
    ],
)
def test_a_stitch_count_says_its_error_and_the_neighbour_within_reach(text, option, said):
    """14/1.25 = 11.2 and 1/1.25 = 0.8, 33/3 = 11, 5 x 2.54 = 12.7: redone by hand."""
    found = measure(STITCHES, text)
    assert (found.option_id, found.sentence, found.questions) == (option, said, ())


def test_a_density_on_the_cut_belongs_to_the_finer_grade():
    assert measure(STITCHES, "15 in 1.25 in").option_id == "fine"


@given(st.integers(1, 60))
def test_one_more_stitch_never_lowers_the_grade(count):
    grades = ["coarse", "low", "usual", "fine"]
    now = measure(STITCHES, f"{count} in 3 in").option_id
    more = measure(STITCHES, f"{count + 1} in 3 in").option_id
    assert grades.index(now) <= grades.index(more)


@pytest.mark.parametrize(
    ("text", "option"),
    [
        ("12 mm", "broad"),
        ("12", "broad"),
        ("0.5 cm", "narrow"),
        ("1/4 in", "middling"),
        ("¼", "narrow"),
        ("9,5 mm", "middling"),
        ("10", "broad"),
        ("0", "narrow"),
        ("80", "broad"),
    ],
)
def test_a_length_is_read_in_millimetres_unless_it_says_otherwise(text, option):
    """1/4 inch is 6.35 mm by definition of the inch; redone by hand."""
    assert measure(HEM, text).option_id == option


@pytest.mark.parametrize(("text", "option"), [("29 %", "thin"), ("30", "thick"), ("100%", "thick")])
def test_a_percentage_is_read_with_or_without_its_sign(text, option):
    assert measure(SOLE, text).option_id == option


@pytest.mark.parametrize(("text", "option"), [("14 oz", "heavy"), ("400 g/m2", "light")])
def test_denim_weights_are_read_in_either_unit(text, option):
    """400 g/m² over 33.906 is 11.8 oz/yd²: 28.3495 g an ounce, 0.9144 m a yard; by hand."""
    assert measure(DENIM, text).option_id == option


def test_an_ounce_a_square_yard_is_33_906_grams_a_square_metre():
    """International yard 0.9144 m and pound 453.59237 g (1959 agreement), exact by definition."""
    assert pytest.approx(453.59237 / 16 / 0.9144**2, abs=5e-4) == GRAMS_PER_OUNCE_A_YARD


@pytest.mark.parametrize(
    ("of", "text", "sentence"),
    [
        (
            HEM,
            "640 mm",
            "Tried: 640 mm is outside 0 to 80 mm; measure again, and look at the unit.",
        ),
        (HEM, "-3", "Tried: '-3' is not a length; write it like 12 mm, 1.2 cm or 1/2 in."),
        (HEM, "wide", "Tried: 'wide' is not a length; write it like 12 mm, 1.2 cm or 1/2 in."),
        (
            SOLE,
            "0.4",
            "Tried: 0.4 could be that many percent or a share of 1; write 40 % or 0.4 %.",
        ),
        (SOLE, "120", "Tried: 120 % is outside 0 to 100 %; measure again, and look at the unit."),
        (SOLE, "half", "Tried: 'half' is not a number in %; write it like 12 %."),
        (DENIM, "12 kg", "Tried: '12 kg' is not a number in oz/yd²; write it like 12 oz/yd²."),
        (
            STITCHES,
            "70",
            "Tried: the stitch count 70 over ruler, 1 inch is more than 60 to the inch; "
            "look at the gauge, and count one row of stitches only.",
        ),
        (
            STITCHES,
            "many",
            "Tried: 'many' is not a stitch count; write it like 12, 12 in 1.25 in, 12/3 cm, "
            "9.5 per inch, 10 spi or 4 per cm.",
        ),
        (
            signal(None, ["Yes", "No"]),
            "12",
            "Tried: '12' is a measure, and this is not measured; use one of yes, no.",
        ),
    ],
)
def test_an_absurd_measure_gets_one_sentence_with_the_way_out(of, text, sentence):
    with pytest.raises(ReadingError) as caught:
        measure(of, text)
    assert caught.value.sentence == sentence


@pytest.mark.parametrize(
    ("text", "option"),
    [
        ("100% wool", "wool"),
        ("90% laine 10% polyamide", "wool"),
        ("60% polyester 40% wool", "synthetic"),
        ("45% wool 55% polyester", "wool_blend"),
        ("55% polyester 45% cotton", "synthetic"),
        ("100% cotton", "other"),
        ("shell: 100% wool; lining: 100% polyester", "wool"),
    ],
)
def test_the_first_fibre_rule_that_fits_wins_and_an_option_may_stand_twice(text, option):
    assert measure(SHELL, text).option_id == option


def test_a_lining_counts_only_where_the_label_names_it():
    assert measure(LINING, "shell: 100% wool; lining: 100% polyester").option_id == "synthetic"
    silent = measure(LINING, "100% wool")
    assert silent.option_id is None
    assert silent.questions == ("The label does not name the lining; choose by hand.",)


def test_a_label_of_the_lining_alone_says_nothing_of_the_outside():
    assert measure(SHELL, "lining: 100% polyester").option_id is None


@pytest.mark.parametrize(
    ("text", "option"),
    [
        ("100% bamboo", "bamboo"),
        ("70% viscose from bamboo 30% cotton", "bamboo"),
        ("20% bamboo 60% modal 20% cotton", "viscose"),
        ("95% wool 5% bamboo", "wool"),
    ],
)
def test_bamboo_is_chosen_only_where_it_is_most_of_what_decided(text, option):
    assert measure(SHELL, text).option_id == option


def test_bamboo_is_viscose_where_the_signal_has_no_such_option():
    assert measure(LINING, "lining: 100% bamboo").option_id == "viscose"


@pytest.mark.parametrize(
    ("text", "option"),
    [
        ("95% wool 5% qwertyuiop", "wool"),
        ("85% wool 15% qwertyuiop", None),
        ("wool polyester", None),
        ("55% wool ?% polyester", "wool_blend"),
        ("80% polyester", "synthetic"),
        ("70% wool", None),
        ("65% polyester 35% cotton 10% silk", None),
        ("", None),
    ],
)
def test_an_unread_share_is_asked_about_and_graded_only_where_it_cannot_matter(text, option):
    found = measure(SHELL, text)
    assert found.option_id == option
    assert found.questions
    assert all(question.endswith(".") for question in found.questions)


def test_two_points_missing_from_a_hundred_are_rounding_not_a_question():
    assert measure(SHELL, "88% wool 10% cotton").option_id == "wool_blend"


@given(st.text(max_size=60))
def test_any_text_gives_a_grade_a_question_or_one_sentence(text):
    for of in (STITCHES, HEM, SOLE, DENIM, SHELL, LINING):
        try:
            found = measure(of, text)
        except ReadingError as fault:
            assert fault.sentence.endswith(".")
        else:
            assert found.option_id in of.option_ids or found.questions


@pytest.mark.parametrize(
    ("label", "option"),
    [
        ("98% cotton 2% elastane", "cotton_stretch"),
        ("95% cotton 5% elastane", "cotton_stretch"),
        ("60% cotton 40% linen", "natural_blend"),
        ("100% cotton", "cotton"),
        ("100% leather", "other_blend"),
    ],
)
def test_the_commonest_labels_come_to_the_option_a_sorter_would_pick(label, option):
    shell = load_rule_book().kinds["trousers"].by_id["fibre_shell"]
    assert measure(shell, label).option_id == option


STRETCH = signal(
    {
        "by": "fibres",
        "part": "shell",
        "rules": [
            {"option": "stretch", "fibres": ["cotton"], "also": ["elastane"], "at_least": 90},
            {"option": "natural", "classes": ["plant", "animal"], "at_least": 90},
            {"option": "other", "at_least": 0},
        ],
    },
    ["Stretch", "Natural", "Other"],
)


@pytest.mark.parametrize(
    ("text", "option"),
    [
        ("98% cotton 2% elastane", "stretch"),
        ("92% cotton 8% silk", "natural"),
        ("92% cotton ?% elastane", "stretch"),
        ("92% cotton 8% qwertyuiop", None),
        ("60% cotton 40% elastane", "other"),
    ],
)
def test_a_rule_that_asks_for_a_trace_besides_is_met_only_with_it(text, option):
    assert measure(STRETCH, text).option_id == option
