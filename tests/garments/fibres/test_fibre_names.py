"""The table of fibres and the names they go by."""

import pytest

from resale.errors import RuleBookError
from resale.garments.fibres import names as fibres
from resale.garments.fibres.names import (
    FIBRES,
    LANGUAGES,
    NAMES,
    closest_fibre,
    fold,
)

# Reg. (EU) 1007/2011 Annex I names. German, Portuguese and parts of Italian and Polish seen in
# public copies (see `where` in fibre_names.toml); French, Spanish, Dutch and Swedish from memory.
PUBLISHED_NAMES = [
    ("de", "Baumwolle", "cotton"),
    ("de", "Wolle", "wool"),
    ("de", "Seide", "silk"),
    ("de", "Flachs", "flax"),
    ("de", "Leinen", "flax"),
    ("de", "Polyacryl", "acrylic"),
    ("de", "Viskose", "viscose"),
    ("de", "Kaschmir", "cashmere"),
    ("de", "Hanf", "hemp"),
    ("fr", "coton", "cotton"),
    ("fr", "laine", "wool"),
    ("fr", "soie", "silk"),
    ("fr", "lin", "flax"),
    ("fr", "élasthanne", "elastane"),
    ("it", "cotone", "cotton"),
    ("it", "lana", "wool"),
    ("it", "seta", "silk"),
    ("it", "poliammide", "polyamide"),
    ("es", "algodón", "cotton"),
    ("es", "nailon", "polyamide"),
    ("es", "cachemira", "cashmere"),
    ("pt", "algodão", "cotton"),
    ("pt", "lã", "wool"),
    ("pt", "linho", "flax"),
    ("pt", "caxemira", "cashmere"),
    ("pt", "sumaúma", "kapok"),
    ("nl", "katoen", "cotton"),
    ("nl", "zijde", "silk"),
    ("nl", "elastaan", "elastane"),
    ("pl", "bawełna", "cotton"),
    ("pl", "wełna", "wool"),
    ("pl", "len", "flax"),
    ("pl", "wiskoza", "viscose"),
    ("pl", "octan", "acetate"),
    ("sv", "bomull", "cotton"),
    ("sv", "ull", "wool"),
    ("sv", "lin", "flax"),
    ("sv", "alpacka", "alpaca"),
]


@pytest.mark.parametrize(("language", "name", "fibre_id"), PUBLISHED_NAMES)
def test_a_name_from_the_list_of_textile_names_is_found(language, name, fibre_id):
    assert NAMES[fold(name)].fibre_id == fibre_id
    assert name in FIBRES[fibre_id].names[language]


@pytest.mark.parametrize(("language", "name", "fibre_id"), PUBLISHED_NAMES)
def test_capitals_and_lost_accents_change_nothing(language, name, fibre_id):
    assert NAMES[fold(name.upper())].fibre_id == fibre_id
    assert NAMES[fold(name)].fibre_id == fibre_id


@pytest.mark.parametrize(
    ("fibre_id", "fibre_class"),
    [
        # Reg. (EU) 1007/2011 Annex I no. 19 and 16 CFR 303.7(e), seen at fibersource.com and in a
        # shop's copy of the annex: acetate is made from cellulose, not from petroleum.
        ("acetate", "cellulosic"),
        ("triacetate", "cellulosic"),
        ("viscose", "cellulosic"),
        ("cupro", "cellulosic"),
        ("modal", "cellulosic"),
        ("lyocell", "cellulosic"),
        ("polyester", "synthetic"),
        ("polyamide", "synthetic"),
        ("acrylic", "synthetic"),
        ("elastane", "synthetic"),
        ("cotton", "plant"),
        ("flax", "plant"),
        ("silk", "animal"),
        ("wool", "animal"),
    ],
)
def test_each_fibre_has_the_class_that_its_legal_definition_gives(fibre_id, fibre_class):
    assert FIBRES[fibre_id].fibre_class == fibre_class


def test_american_and_european_names_are_one_fibre():
    # 16 CFR 303.7 and Reg. (EU) 1007/2011 name the same polymers differently (from memory).
    assert NAMES[fold("rayon")] == NAMES[fold("viscose")]
    assert NAMES[fold("spandex")] == NAMES[fold("elastane")]
    assert NAMES[fold("nylon")] == NAMES[fold("polyamide")]


@pytest.mark.parametrize("word", ["Schurwolle", "scheerwol", "żywa wełna"])
def test_virgin_wool_in_one_word_is_wool_and_says_virgin(word):
    # From memory; Reg. (EU) 1007/2011 Annex II.
    found = NAMES[fold(word)]
    assert (found.fibre_id, found.marks) == ("wool", ("virgin",))


@pytest.mark.parametrize("word", ["", "   ", "blorptex", "wollig", "12", "%"])
def test_an_unknown_word_is_no_fibre(word):
    assert fold(word) not in NAMES


@pytest.mark.parametrize(
    ("word", "fibre_id"),
    [("pollyestter", "polyester"), ("bavlna", "cotton"), ("qqqq", ""), ("", "")],
)
def test_a_suggestion_is_close_or_absent(word, fibre_id):
    assert closest_fibre(word) == fibre_id


def test_the_standing_of_every_name_is_known():
    assert "cotton" in LANGUAGES["de"].seen
    assert "elastane" not in LANGUAGES["de"].seen
    assert "cotton" not in LANGUAGES["sv"].seen
    for language in LANGUAGES.values():
        assert language.seen <= FIBRES.keys()
        assert bool(language.seen) == bool(language.where)


def test_every_common_fibre_has_a_name_in_all_nine_languages():
    common = ["cotton", "wool", "silk", "flax", "polyester", "polyamide", "acrylic", "viscose"]
    common += ["elastane", "acetate", "cupro", "lyocell", "modal", "cashmere", "mohair", "alpaca"]
    assert len(LANGUAGES) == 9
    for fibre_id in common:
        assert FIBRES[fibre_id].names.keys() == LANGUAGES.keys()


def test_two_fibres_with_one_name_stop_the_start():
    twins = {
        "a": fibres.Fibre("a", "plant", {"en": ("Stuff",)}),
        "b": fibres.Fibre("b", "plant", {"en": ("stuff",)}),
    }
    with pytest.raises(RuleBookError, match="names both a and b"):
        fibres._index(twins)
