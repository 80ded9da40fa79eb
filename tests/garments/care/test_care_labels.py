"""Care labels: read back whole in nine languages, and what the buyer is told.

Temperatures and meanings: ISO 3758:2012, tables 1 to 5 (as listed in a copy of them). The words of
the languages are from memory; a native reader should check them.
"""

import pytest

from resale.garments.care.cautions import buyer_cautions, desk_questions, label_of, ticket_words
from resale.garments.care.reader import WASH_DEGREES, care_words, read_care
from resale.garments.fibres.names import fold

# Typed for the test, not taken from the table: what such labels look like.
LABELS = {
    "en": "Machine wash 40°C gentle. Do not bleach. Do not tumble dry. Cool iron. Do not dry clean",
    "de": "Schonwaschgang 40 °C waschen\nNicht bleichen\nNicht im Trockner trocknen\n"
    "Kalt bügeln\nNicht chemisch reinigen",
    "fr": "Lavage 40° cycle délicat / ne pas blanchir / ne pas sécher en machine / fer doux / "
    "pas de nettoyage à sec",
    "it": "Lavare a 40° delicato, non candeggiare, non asciugare in asciugatrice, ferro tiepido, "
    "non lavare a secco",
    "es": "Lavar 40°, ciclo suave, no usar lejía, no usar secadora, planchar a baja temperatura, "
    "no limpiar en seco",
    "pt": "Lavar 40° suave; não usar lixívia; não secar na máquina; ferro morno; não limpar a seco",
    "nl": "40° wassen, fijne was, niet bleken, niet in de droger, koel strijken, "
    "niet chemisch reinigen",
    "pl": "Prać 40° delikatnie, nie wybielać, nie suszyć w suszarce, "
    "prasować w niskiej temperaturze, nie czyścić chemicznie",
    "sv": "Skontvätt 40°, tvätt, ej blekning, ej torktumling, låg stryktemperatur, kemtvättas ej",
}
MEANT = {"wash", "gentle", "no_bleach", "no_tumble", "iron_low", "no_dry_clean"}


@pytest.mark.parametrize("language", LABELS)
def test_a_label_is_read_whole_in_each_language(language):
    read = read_care(LABELS[language])
    assert set(read.says) == MEANT
    assert (read.degrees, read.unread) == (40, ())


def test_one_label_in_every_language_counts_once():
    assert read_care("\n".join(LABELS.values())) == read_care(LABELS["en"])


@pytest.mark.parametrize("degrees", WASH_DEGREES)
def test_temperatures_of_the_standard_are_a_wash_and_no_other(degrees):
    assert read_care(f"wash {degrees}").degrees == degrees
    odd = read_care(f"wash {degrees + 3} C")
    assert odd.degrees is None and odd.unread


def test_an_irons_heat_is_no_wash_by_either_edition():
    # ISO 3758:2012, table 4: 110, 150, 200; the later edition's 120, 160, 210 are from memory.
    for low in (110, 120):
        assert read_care(f"iron {low} °C").says == ("iron_low",)
    for heat in (150, 160, 200, 210):
        assert read_care(f"iron {heat}").says == ("iron",)


def known_phrases():
    return {fold(words) for one in care_words().meaning for words in one.words}


def test_f_never_becomes_p():
    assert read_care("F in a circle").says == ("dry_clean_mild",)
    assert read_care("P in a circle").says == ("dry_clean",)
    assert "hydrocarbons" in " ".join(buyer_cautions(read_care("circle F")))


def test_no_words_stand_for_two_meanings():
    every = [(fold(words), one.id) for one in care_words().meaning for words in one.words]
    assert len({words for words, _ in every}) == len(every)


def test_a_forbidden_thing_is_never_read_as_allowed():
    allowed = {"wash", "bleach", "tumble", "iron", "dry_clean"}
    for one in care_words().meaning:
        if one.id.startswith("no_"):
            for words in one.words:
                read = read_care(words)
                assert read.says == (one.id,) and not allowed & set(read.says), words


# Common ways of writing it, from memory; no label is quoted.
@pytest.mark.parametrize(
    "text",
    [
        "never wash at 30",
        "do not machine wash",
        "not machine washable, never tumble dry",
        "do not\ntumble dry",
        "do not wash, tumble dry or bleach",
        "do not wash or dry clean",
        "nicht waschen oder bügeln",
        "keine maschinenwäsche",
        "ne pas laver ni repasser",
        "no lavar ni planchar",
        "tvättas inte i 40",
    ],
)
def test_what_a_not_or_an_or_forbids_in_other_words_is_not_read_as_allowed(text):
    read = read_care(text)
    assert all(one.startswith("no_") for one in read.says)
    assert read.degrees is None and not ticket_words(read).count("wash 3")
    assert read.says or read.unread


@pytest.mark.parametrize("meaning", [one for one in care_words().meaning if one.words])
def test_whatever_is_allowed_is_not_where_a_not_stands_before_it(meaning):
    """Each word of the file with each *not* of the file before it, whatever the language."""
    allowed = {one.id for one in care_words().meaning if not one.id.startswith("no_")}
    for denial in care_words().denying.words:
        for words in meaning.words:
            assert not allowed & set(read_care(f"{denial} {words}").says) or (
                fold(f"{denial} {words}") in known_phrases()
            ), (denial, words)


def test_what_stands_apart_from_a_not_is_read():
    read = read_care("Wash 40 - do not bleach - iron 110")
    assert (read.says, read.degrees) == (("wash", "no_bleach", "iron_low"), 40)
    assert read_care("wash 30 or 40, do not bleach").degrees == 30


def test_what_is_not_understood_is_given_back_and_said():
    read = read_care("wash 30, krmbl if tartan")
    assert read.unread == ("krmbl", "if", "tartan")
    assert "krmbl" in desk_questions(read)[0]


def test_the_buyer_is_told_what_costs_or_spoils():
    told = buyer_cautions(read_care("dry clean only"))
    assert told == ("Dry clean only: each cleaning costs.",)
    nothing = buyer_cautions(read_care("do not wash, do not dry clean"))
    assert nothing[-1].startswith("No way of cleaning")
    assert buyer_cautions(read_care("hand wash"))[0].count("30 °C")
    assert ticket_words(read_care("do not wash; do not iron")) == "do not wash, no iron"


def test_no_label_is_unknown_and_never_washable():
    for label in (label_of("", "missing"), label_of("cut out")):
        assert label.says == ("none",)
        assert "not known" in buyer_cautions(label)[0]
        assert ticket_words(label) == "no care label"
    assert label_of("", "").says == () and buyer_cautions(label_of("")) == ()


def test_a_label_that_quarrels_with_itself_its_sign_or_its_cloth_is_asked_about():
    assert "both" in desk_questions(read_care("wash 40, do not wash"))[0]
    assert "wool" in desk_questions(read_care("wash 60"), fibres=["wool"])[0]
    assert desk_questions(read_care("wash 60"), fibres=["cotton"]) == ()
    assert desk_questions(read_care("wash 30"), fibres=["wool"]) == ()
    assert "otherwise" in desk_questions(read_care("dry clean only"), "machine_wash")[0]
    assert desk_questions(read_care("dry clean only"), "dry_clean_only") == ()
