"""Models as files: read back to the cent, refused when not exactly what was vouched for."""

import hashlib
import io
import json
import pickle
from dataclasses import replace
from datetime import date
from pathlib import Path

import joblib
import numpy as np
import pytest
from tiny_rule_book import tiny_rule_book

from resale.errors import ModelFileError
from resale.garments.measures.warmth import seasons_of
from resale.garments.rulebook.readings import NOT_LOOKED_AT, Readings
from resale.pricing.model.learn import learn, rules_alone
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.storage.models.model_arrays import from_bytes
from resale.storage.models.model_files import (
    MANIFEST,
    data_fingerprint,
    load_model,
    model_or_rules,
    read_manifest,
    save_model,
)


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    return tiny_rule_book(tmp_path_factory.mktemp("book"))


def drawn_items(book, count, seed):
    """Items of both kinds, partly looked at, with a few invented labels and seasons."""
    rng = np.random.default_rng(seed)
    kinds = rng.integers(len(book.kinds), size=count)
    codes = np.full((count, len(book.signal_ids)), NOT_LOOKED_AT, dtype=np.int16)
    for place, kind in enumerate(book.kinds.values()):
        for column, signal_id in enumerate(book.signal_ids):
            if signal_id in kind.by_id:
                drawn = rng.integers(len(kind.by_id[signal_id].options), size=count)
                seen = (kinds == place) & (rng.random(count) < 2 / 3)
                codes[:, column] = np.where(seen, drawn, codes[:, column])
    labels = rng.choice(["", "Vellorange", "Quibbleton"], size=count)
    items = Readings(kinds, codes, tuple(labels.tolist()))
    return replace(items, seasons=seasons_of(book, items, rng.integers(1, 13, size=count)))


@pytest.fixture(scope="module")
def model(book):
    price = np.round(np.exp(np.random.default_rng(2).normal(3, 0.5, 120)), 2)
    return learn(book, drawn_items(book, 120, 1), price)


@pytest.fixture
def folder(tmp_path, model):
    save_model(model, tmp_path, note="for the tests", created=date(2026, 11, 25))
    return tmp_path


def kept_file(folder):
    return folder / read_manifest(folder).file


def test_a_stored_model_values_items_exactly_as_before(book, folder, model):
    items = drawn_items(book, 200, 3)
    before = Valuer(book, model, ShopTerms()).value(items)
    after = Valuer(book, load_model(folder, book), ShopTerms()).value(items)
    for name in ("estimate", "low", "high", "mean", "ticket", "rules", "sales", "chances", "tier"):
        np.testing.assert_array_equal(getattr(after, name), getattr(before, name), name)


def test_the_manifest_says_what_the_model_rests_on(book, folder, model):
    manifest = read_manifest(folder)
    assert (manifest.note, manifest.created) == ("for the tests", date(2026, 11, 25))
    assert (manifest.sales, sum(manifest.sales_by_kind.values())) == (120, 120)
    assert manifest.rule_book == book.version
    assert {"numpy", "scikit-learn", "python", "resale"} <= set(manifest.versions)
    assert manifest.sha256.startswith(manifest.model_id)
    assert len(manifest.model_id) == 12


def test_the_file_holds_arrays_and_plain_values_only(folder):
    allowed = (dict, list, str, int, float, np.ndarray)

    def walk(value):
        assert type(value) in allowed
        if isinstance(value, np.ndarray):
            assert value.dtype.kind in "fi"
        for part in value.values() if isinstance(value, dict) else ():
            walk(part)
        for part in value if isinstance(value, list) else ():
            walk(part)

    walk(from_bytes(kept_file(folder).read_bytes()))


def test_the_same_model_is_stored_as_the_same_bytes(folder, model, tmp_path):
    assert save_model(model, tmp_path / "twice").sha256 == read_manifest(folder).sha256


def test_saving_again_leaves_one_model_and_no_drafts(book, folder):
    save_model(rules_alone(book), folder)
    manifest = read_manifest(folder)
    assert sorted(p.name for p in folder.iterdir()) == sorted([MANIFEST, manifest.file])
    assert load_model(folder, book).sales == 0


def test_one_altered_byte_is_refused(book, folder):
    path = kept_file(folder)
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(content)
    with pytest.raises(ModelFileError, match="was not opened"):
        load_model(folder, book)


class Harm:
    """Leaves a mark when it is unpickled."""

    def __init__(self, mark):
        self.mark = mark

    def __reduce__(self):
        return (Path.touch, (self.mark,))


def forged(folder, name, content, **changes):
    """Put another file in the model's place, vouched for as whoever can write both would."""
    digest = hashlib.sha256(content).hexdigest()
    (folder / name).write_bytes(content)
    rewritten(folder, file=name, sha256=digest, size=len(content), **changes)


def pickled_array(harm):
    """An array of objects, as NumPy itself stores one: by pickle."""
    stream = io.BytesIO()
    np.savez(stream, plain=np.array([harm], dtype=object))
    return stream.getvalue()


def by_joblib(harm):
    stream = io.BytesIO()
    joblib.dump(harm, stream)
    return stream.getvalue()


@pytest.mark.parametrize(
    ("name", "forge", "changes", "sentence"),
    [
        ("prices-000000000000.npz", pickled_array, {}, r"cannot be read \(ValueError\)"),
        ("prices-000000000000.npz", pickle.dumps, {}, r"cannot be read \(BadZipFile\)"),
        ("prices-000000000000.npz", by_joblib, {}, r"cannot be read \(BadZipFile\)"),
        (
            "prices-000000000000.joblib",
            by_joblib,
            {"format": 1},
            "can run code when it is opened, so it was not; let prices be learned again",
        ),
    ],
)
def test_no_file_runs_code_even_where_its_digest_is_forged_as_well(
    book, folder, tmp_path, name, forge, changes, sentence
):
    """CWE-502; OWASP ASVS 5.0, 1.5.2. Whoever forges a copy of a shop forges its digests too."""
    mark = tmp_path / "mark"
    forged(folder, name, forge(Harm(mark)), **changes)
    with pytest.raises(ModelFileError, match=sentence):
        load_model(folder, book)
    assert not mark.exists()
    pickle.loads(pickle.dumps(Harm(mark)))  # noqa: S301 - shows that it would have left the mark
    assert mark.exists()


def test_a_model_that_unpacks_without_end_is_refused(book, folder, monkeypatch):
    monkeypatch.setattr("resale.storage.models.model_arrays.LARGEST_UNPACKED", 1000)
    with pytest.raises(ModelFileError, match="cannot be read"):
        load_model(folder, book)


def test_a_truncated_file_says_how_much_is_there(book, folder):
    path = kept_file(folder)
    content = path.read_bytes()
    path.write_bytes(content[:1000])
    with pytest.raises(ModelFileError, match=f"cut short: 1000 of {len(content)} bytes"):
        load_model(folder, book)


def test_a_missing_file_is_named(book, folder):
    path = kept_file(folder)
    path.unlink()
    with pytest.raises(ModelFileError) as caught:
        load_model(folder, book)
    assert caught.value.sentence == (
        f"{path}: the model that the manifest names is missing; fit it again with 'resale learn'."
    )


def rewritten(folder, **changes):
    path = folder / MANIFEST
    path.write_text(json.dumps({**json.loads(path.read_text()), **changes}))


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"sha256": "no digest"}, "sha256 is missing or wrong"),
        ({"file": "../prices-000000000000.npz"}, "file is missing or wrong"),
        ({"format": 99}, "the model is of format 99, and this program reads format 3"),
        ({"surplus": 1}, "surplus is missing or wrong"),
    ],
)
def test_a_manifest_that_says_something_else_is_refused(book, folder, changes, what):
    rewritten(folder, **changes)
    with pytest.raises(ModelFileError) as caught:
        load_model(folder, book)
    assert caught.value.what == what


@pytest.mark.parametrize("content", [b"", b"prices", b"[1, 2]", b"\xff\xfe\x00"])
def test_a_manifest_that_is_not_json_is_refused_in_a_sentence(book, folder, content):
    (folder / MANIFEST).write_bytes(content)
    with pytest.raises(ModelFileError, match="manifest is not a JSON object"):
        load_model(folder, book)


def test_a_model_of_another_rule_book_is_refused(book, folder):
    other = replace(book, fingerprint="0" * 64)
    with pytest.raises(ModelFileError, match="fitted with rule book"):
        load_model(folder, other)


def test_without_a_model_prices_follow_the_rules_and_it_is_said(book, tmp_path):
    model, why = model_or_rules(tmp_path / "nowhere", book)
    assert model.sales == 0
    assert why == (
        "Prices follow the rule book alone: "
        f"{tmp_path / 'nowhere' / MANIFEST}: no model is kept there; "
        "fit it again with 'resale learn'."
    )


def test_with_a_good_model_nothing_is_said(book, folder):
    model, why = model_or_rules(folder, book)
    assert (model.sales, why) == (120, None)


def test_a_folder_that_cannot_be_written_to_is_said(book, tmp_path):
    (tmp_path / "taken").write_text("a file, not a folder")
    with pytest.raises(ModelFileError, match="cannot be written there"):
        save_model(rules_alone(book), tmp_path / "taken")


def test_the_fingerprint_of_sales_changes_with_any_sale(book):
    sales, price = drawn_items(book, 10, 4), np.arange(1.0, 11.0)
    other = price.copy()
    other[3] += 0.01
    relabelled = replace(sales, labels=("Marrowby", *sales.labels[1:]))
    undated = replace(sales, seasons=())
    prints = {
        data_fingerprint(sales, price),
        data_fingerprint(sales, other),
        data_fingerprint(relabelled, price),
        data_fingerprint(undated, price),
    }
    assert len(prints) == 4
    assert data_fingerprint(sales, price.copy()) in prints
