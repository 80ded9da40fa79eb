"""What a label says is read off its lettering, by tables written apart from the package."""

from __future__ import annotations

import re

import pytest
from drawn_geometry import having, text_of
from examples import times
from hypothesis import given, settings
from hypothesis import strategies as st

from resale.training.drawings import LEVELS, make

levels = pytest.mark.parametrize("level", LEVELS)
some = settings(max_examples=times(7), deadline=None)
SEEDS = st.integers(0, 2**32)

# Names of fibres as labels print them: Regulation (EU) No 1007/2011, Annex I, in eight of its
# languages; from memory, and the first word of each.
WORDS = {
    "wool": "wolle laine lana lã wol wełna ull",
    "cotton": "baumwolle coton cotone algodón algodão katoen bawełna bomull",
    "flax": "leinen lin lino linho vlas len",
    "silk": "seide soie seta seda zijde jedwab siden silke",
    "cashmere": "kaschmir cachemire cashmere cachemira caxemira kasjmier kaszmir kashmir kasjmir",
    "viscose": "viskose viscose viscosa wiskoza viskos",
    "acetate": "acetat acétate acetato acetaat octan",
    "polyester": "polyester poliestere poliéster poliester",
    "polyamide": "polyamid polyamide poliammide poliamida polyamide poliamid",
    "acrylic": "polyacryl acrylique acrilico acrílico acrílica acrilica acryl akryl akryl "
    "akrylowe polyacrylnitril "
    "akryl polyakryl",
    "elastane": "elasthan élasthanne elastan elastano elastaan",
}
FIBRE = {word: fibre for fibre, words in WORDS.items() for word in words.split()}
LINING = {"futter", "doublure", "fodera", "forro", "voering", "podszewka", "foder"}


def made_of(text):
    """Shares by fibre of one line."""
    found = {}
    for share, word in re.findall(r"(\d+) % (\w+)", text.casefold()):
        found[FIBRE[word]] = int(share)
    assert sum(found.values()) == 100, text
    return found


def graded(parts):
    """The answer of the rule book, by its names."""
    pure = {"flax": "linen", "polyester": "polyester"}
    if len(parts) == 1:
        (fibre,) = parts
        return pure.get(fibre, fibre)
    first = max(parts, key=lambda one: parts[one])
    if first == "cotton" and parts.get("elastane", 0) <= 5:
        return "cotton_stretch"
    return {"wool": "wool_blend", "polyester": "polyester", "acrylic": "acrylic"}[first]


@levels
@some
@given(seed=SEEDS)
def test_every_line_of_a_fibre_label_says_the_same_of_the_outside(level, seed):
    svg = (made := make("fibre_label", level, seed)).svg
    outside = text_of(svg, "outside")
    assert len(outside) == {1: 1, 2: 3, 3: 4}[level]
    said = [made_of(text) for text in outside]
    assert all(one == said[0] for one in said)
    assert graded(said[0]) == made.truth
    for text in text_of(svg, "inside"):
        assert text.casefold().split(":")[0] in LINING
    assert not any(each in " ".join(outside).casefold() for each in LINING)


@levels
@some
@given(seed=SEEDS)
def test_the_newest_thing_on_a_label_decides_its_age(level, seed):
    """Common practice, no source: web address, then care symbols, then a union ticket."""
    svg = (made := make("label_age", level, seed)).svg
    newest = (
        "current"
        if having(svg, "web") and having(svg, "square-code")
        else "recent_decades"
        if having(svg, "care-symbols")
        else "union_or_utility"
        if having(svg, "union-ticket")
        else "older_label"
    )
    assert newest == made.truth


@levels
@some
@given(seed=SEEDS)
def test_a_name_stands_where_the_one_row_spelt_alike_says(level, seed):
    svg = (made := make("label_list", level, seed)).svg
    (name,) = text_of(svg, "name")
    rows = dict(zip(text_of(svg, "row-name"), text_of(svg, "row-standing"), strict=True))
    assert rows.get(name, "unknown") == made.truth
    assert len(rows) >= 3


@levels
@some
@given(seed=SEEDS)
def test_a_doubt_is_a_name_spelt_in_two_ways(level, seed):
    svg = (made := make("maker_claims", level, seed)).svg
    claims = text_of(svg, "claim")
    assert len(claims) == 3
    plain = {"Pure wool", "Dry clean"} <= set(claims)
    told = "no_claim" if plain else "doubt" if len(set(claims)) > 1 else "nothing_odd"
    assert told == made.truth
