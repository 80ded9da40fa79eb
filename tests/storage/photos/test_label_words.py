"""Drawn labels read back by the program that reads labels; what was drawn is the truth."""

import os
import select
from contextlib import suppress
from pathlib import Path

import pytest
from camera import shot
from drawn_labels import photographed, reader_or_skip

from resale.config.settings import Settings
from resale.garments.care.reader import read_care
from resale.garments.fibres.reader import read_fibre_label
from resale.services.photos.read_label import read_label
from resale.storage.photos import label_words
from resale.storage.photos.label_words import LabelPhotoError, what_is_missing, words_of
from resale.storage.photos.pixels import PhotoError

SHOP = Settings()
# By language: fibres, care, and their meanings. Words of the tables, drawn as a label would say.
LABELS = {
    "eng": ("80% wool 20% nylon", "Hand wash, do not bleach", ("wool", "polyamide"), "hand_wash"),
    "deu": ("60% Baumwolle 40% Viskose", "Nicht waschen", ("cotton", "viscose"), "no_wash"),
    "fra": ("70% laine 30% soie", "Lavage à la main", ("wool", "silk"), "hand_wash"),
    "ita": ("55% lino 45% cotone", "Non candeggiare", ("flax", "cotton"), "no_bleach"),
    "spa": ("90% algodón 10% elastano", "Lavar a mano", ("cotton", "elastane"), "hand_wash"),
    "por": ("85% algodão 15% linho", "Lavar à mão", ("cotton", "flax"), "hand_wash"),
    "nld": ("50% katoen 50% wol", "Niet bleken", ("cotton", "wool"), "no_bleach"),
    "pol": ("65% bawełna 35% wełna", "Nie wybielać", ("cotton", "wool"), "no_bleach"),
    "swe": ("75% ull 25% bomull", "Handtvätt", ("wool", "cotton"), "hand_wash"),
}


def means(found, fibres, care):
    read = read_fibre_label(found.fibres)
    assert tuple(name for name, _ in read.main.fibres) == fibres
    assert care in read_care(found.care).says


def test_a_label_in_two_languages_is_read_back():
    """Its Polish letters too, that read as another language become others."""
    reader_or_skip()
    label = photographed(
        ["Oberstoff: 65% Wolle 35% Polyester", "Skład: 65% wełna 35% poliester", "Nie wybielać"]
    )
    found = read_label(SHOP, label, languages=("pol", "deu"))
    assert "wełna" in found.fibres
    means(found, ("wool", "polyester"), "no_bleach")


@pytest.mark.long
@pytest.mark.parametrize("language", LABELS)
def test_a_label_in_each_language_is_read_back_among_all_of_them(language):
    reader_or_skip()
    fibres, care, ids, meaning = LABELS[language]
    means(read_label(SHOP, photographed([fibres, care, "Made in Portugal"])), ids, meaning)


@pytest.mark.long
@pytest.mark.parametrize("turn", [90, 180, 270])
def test_a_label_on_its_side_is_read_all_the_same(turn):
    reader_or_skip()
    fibres, care, ids, meaning = LABELS["deu"]
    lines = [fibres, care, "Futter: 100% Polyester"]
    means(read_label(SHOP, photographed(lines, turn)), ids, meaning)


def test_a_machine_without_the_part_or_the_program_says_how_each_comes(monkeypatch):
    monkeypatch.setattr(label_words, "find_spec", lambda _: None)
    with pytest.raises(LabelPhotoError, match=r"pip install .*\[ocr\].*; or type what the label"):
        words_of(b"")
    monkeypatch.setattr(label_words, "find_spec", lambda _: object())
    monkeypatch.setattr(label_words.shutil, "which", lambda _: None)
    assert "apt-get install tesseract-ocr" in what_is_missing()
    assert "tesseract-ocr-pol" in what_is_missing()


# What stands in for the reader, given to the same Python, and what the desk is told.
ENDS = {
    "takes more memory than is given": (
        "from resale.storage.photos.label_words import *; "
        "limit_oneself(MEMORY, CPU_SECONDS); bytearray(MEMORY)"
    ),
    "takes more time than is given": "[0 for _ in iter(int, 1)]",
    "ends before it said anything": "pass",
    "talks nonsense": "print('nonsense')",
}


@pytest.mark.parametrize("way", ENDS)
def test_a_reader_that_goes_wrong_ends_and_leaves_one_sentence(monkeypatch, way):
    monkeypatch.setattr(label_words, "what_is_missing", lambda: "")
    monkeypatch.setattr(label_words, "RUN", ("-c", ENDS[way]))
    if "time" in way:
        monkeypatch.setattr(label_words, "SECONDS", 0.3)
    with pytest.raises(LabelPhotoError, match="it was given up; take the label alone"):
        words_of(b"a picture")


def test_whoever_would_wait_long_for_another_label_is_told_so(monkeypatch):
    monkeypatch.setattr(label_words, "what_is_missing", lambda: "")
    monkeypatch.setattr(label_words, "PATIENCE", 0.01)
    with label_words._TURN, pytest.raises(LabelPhotoError, match="another label is being read"):
        words_of(b"a picture")


@pytest.mark.long
def test_what_the_reader_started_ends_with_it_and_its_scratch_goes(monkeypatch, tmp_path):
    """A program that it started would read on, and the picture lie in a folder of its own."""
    started = (
        "import subprocess, sys, os, tempfile; open(os.environ['TMPDIR'] + '/shot.jpg', 'w'); "
        "one = subprocess.Popen([sys.executable, '-c', 'import time; time.sleep(600)']); "
        f"open({str(tmp_path / 'told')!r}, 'w').write(f'{{one.pid}} {{os.environ[\"TMPDIR\"]}}'); "
        "one.wait()"
    )
    monkeypatch.setattr(label_words, "what_is_missing", lambda: "")
    monkeypatch.setattr(label_words, "RUN", ("-c", started))
    monkeypatch.setattr(label_words, "SECONDS", 1.5)
    with pytest.raises(LabelPhotoError):
        words_of(b"a picture")
    pid, scratch = (tmp_path / "told").read_text().split()
    with suppress(ProcessLookupError):
        # Ready to be read once the process has ended.
        ended = os.pidfd_open(int(pid))
        assert select.select([ended], [], [], 30)[0]
        os.close(ended)
    assert not Path(scratch).exists()


def test_what_is_no_picture_starts_no_reader(monkeypatch):
    monkeypatch.setattr(label_words, "what_is_missing", lambda: "")
    monkeypatch.setattr(label_words, "RUN", ("-c", "raise SystemExit('started')"))
    with pytest.raises(PhotoError, match="no JPEG, PNG or WebP"):
        read_label(SHOP, b"not a picture at all")
    with pytest.raises(PhotoError, match="MB and"):
        read_label(SHOP, shot()[:100] + b"0" * (SHOP.photo_mb * 1_000_000))
