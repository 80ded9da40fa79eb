"""The folders that come with the program are found wherever it was put."""

from pathlib import Path

import pytest

from resale.config import paths as place
from resale.config.paths import shipped
from resale.errors import ResaleError


def test_in_the_source_tree_a_folder_lies_beside_the_package(tmp_path, monkeypatch):
    (tmp_path / "resale").mkdir()
    (tmp_path / "models").mkdir()
    (tmp_path / "pyproject.toml").touch()
    monkeypatch.setattr(place, "PACKAGE", tmp_path / "resale")
    assert shipped("models") == tmp_path / "models"


def test_in_a_wheel_a_folder_lies_inside_the_package(tmp_path, monkeypatch):
    """A stranger's folder of the same name beside the package is not ours."""
    inside = tmp_path / "resale" / "shipped" / "models"
    inside.mkdir(parents=True)
    (tmp_path / "models").mkdir()
    monkeypatch.setattr(place, "PACKAGE", tmp_path / "resale")
    assert shipped("models") == inside


def test_a_missing_folder_is_said_with_its_place(tmp_path, monkeypatch):
    monkeypatch.setattr(place, "PACKAGE", tmp_path / "resale")
    with pytest.raises(ResaleError) as caught:
        shipped("models")
    path = Path(tmp_path) / "resale" / "shipped" / "models"
    assert caught.value.sentence == (
        f"{path}: the folder models, which comes with the program, is not there; "
        "install the program again."
    )
