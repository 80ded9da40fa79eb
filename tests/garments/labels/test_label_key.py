"""One label has one key, however it is spelt; other names have others."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st
from label_spellings import spelt

from resale.garments.labels.label_key import label_key
from resale.garments.labels.label_names import LabelNames, common_names

NAMES = ("Nordhaus", "Élan & Fils", "Ødegård 1912", "Łąka", "Œuvre Bleue", "H-Vale", "Straße 7")


@given(st.sampled_from(NAMES), st.randoms(use_true_random=False))
def test_case_width_accents_punctuation_and_spacing_do_not_count(name, chance):
    assert label_key(spelt(name, chance)) == label_key(name) != ""


@given(st.text(max_size=40))
def test_a_key_is_its_own_key_and_none_is_lost(text):
    key = label_key(text)
    assert label_key(key) == key
    assert bool(key) == bool("".join(text.split()))


# Unicode Character Database, DerivedNormalizationProps and CaseFolding: equivalent spellings.
@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Å", "A\u030a"),
        ("ﬁn", "FIN"),
        ("ＡＢＣ", "abc"),
        ("ﾃｽﾄ", "テスト"),
        ("ΟΔΥΣΣΕΥΣ", "Οδυσσεύς"),
        ("Gewebe ®", "GEWEBE"),
    ],
)
def test_equivalent_spellings_have_one_key(one, other):
    assert label_key(one) == label_key(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [("かき", "がき"), ("Nord 1", "Nord 2"), ("कि", "कु"), ("Vale", "Vales"), ("& &", "++")],
)
def test_other_names_keep_other_keys(one, other):
    assert unicodedata.normalize("NFC", one) != unicodedata.normalize("NFC", other)
    assert label_key(one) != label_key(other)


def test_a_label_is_called_as_it_is_written_most():
    names = LabelNames(common_names(["NORDHAUS", "Nordhaus", "Nordhaus", "", "Ulm"]))
    assert [names.name_of(text) for text in ("nord-haus", "ULM", "Else", "")] == [
        "Nordhaus",
        "Ulm",
        "Else",
        "",
    ]


def test_joined_labels_follow_each_other_and_never_run_in_a_circle():
    names = LabelNames({"nh": "Nordhaus", "nordhaus": "NORDHAUS", "a": "B", "b": "A"})
    assert (names.name_of("N.H."), names.key_of("nh")) == ("NORDHAUS", "nordhaus")
    assert names.name_of("a") in ("A", "B")
