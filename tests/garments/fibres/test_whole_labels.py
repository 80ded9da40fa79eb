"""Random legal labels in each of nine languages, with parts, recycled fibres and other fibres."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from resale.garments.fibres.names import FIBRES
from resale.garments.fibres.reader import read_fibre_label

# Words of the three parts, of 'recycled' and of 'other fibres', as labels print them; from memory.
PARTS_IN = {
    "en": ("Shell", "Lining", "Filling", "recycled {}", "other fibres"),
    "de": ("Oberstoff", "Futter", "Füllung", "{} recycelt", "sonstige Fasern"),
    "fr": ("Extérieur", "Doublure", "Rembourrage", "{} recyclé", "autres fibres"),
    "it": ("Esterno", "Fodera", "Imbottitura", "{} riciclato", "altre fibre"),
    "es": ("Exterior", "Forro", "Relleno", "{} reciclado", "otras fibras"),
    "pt": ("Exterior", "Forro", "Enchimento", "{} reciclado", "outras fibras"),
    "nl": ("Buitenstof", "Voering", "Vulling", "gerecycled {}", "overige vezels"),
    "pl": ("Wierzch", "Podszewka", "Wypełnienie", "{} z recyklingu", "inne włókna"),
    "sv": ("Yttertyg", "Foder", "Fyllning", "återvunnen {}", "andra fibrer"),
}


@st.composite
def one_part(draw, language):
    """Lines of a part as (fibre, percent, recycled): most first, 'other fibres' up to 15 last."""
    *_, mark, other = PARTS_IN[language]
    plain = [
        name
        for name, fibre in FIBRES.items()
        if name != "other_fibres" and not fibre.caution and fibre.names.get(language)
    ]
    ids = draw(st.lists(st.sampled_from(plain), min_size=1, max_size=4, unique=True))
    rest = draw(st.sampled_from([0, 0, 5, 15]))
    cuts = draw(st.sets(st.integers(1, 99 - rest), min_size=len(ids) - 1, max_size=len(ids) - 1))
    edges = [0, *sorted(cuts), 100 - rest]
    shares = sorted((high - low for low, high in pairwise(edges)), reverse=True)
    lines, words = [], []
    for fibre_id, share in zip(ids, shares, strict=True):
        recycled = draw(st.booleans())
        name = draw(st.sampled_from(FIBRES[fibre_id].names[language]))
        lines.append((fibre_id, float(share), recycled))
        words.append(f"{share}% " + (mark.format(name) if recycled else name))
    if rest:
        lines.append(("other_fibres", float(rest), False))
        words.append(f"{rest}% {other}")
    return lines, draw(st.sampled_from([", ", " ", " / "])).join(words)


@given(st.data())
@settings(max_examples=120, deadline=None)
def test_a_legal_label_of_several_parts_is_read_back_whole_in_every_language(data):
    """Reg. (EU) 1007/2011, arts 5, 9, 11: fibres in percent, most first, for each part by itself;
    'other fibres' up to 15 together."""
    language = data.draw(st.sampled_from(sorted(PARTS_IN)))
    names = data.draw(st.lists(st.sampled_from([0, 1, 2]), min_size=1, max_size=3, unique=True))
    drawn = [data.draw(one_part(language)) for _ in names]
    text = "\n".join(
        f"{PARTS_IN[language][name]}: {words}"
        for name, (_, words) in zip(names, drawn, strict=True)
    )
    label = read_fibre_label(text)
    assert {question.kind for question in label.questions} <= {"other_fibres"}
    for name, (lines, _) in zip(names, drawn, strict=True):
        part = label.part(("shell", "lining", "fill")[name])
        read = [(one.fibre_id, one.percent, "recycled" in one.marks) for one in part.lines]
        assert sorted(read) == sorted(lines)
