"""One setting of the file is changed, and every other line stays as somebody wrote it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resale.config.file import changed_text, write_whole
from resale.config.reference import reference_page
from resale.config.settings import Settings, checked, read_settings, shape_of
from resale.config.text_forms import as_text, from_text, with_typed
from resale.errors import SettingError

WRITTEN = """\
# Our second shop, since spring.
wage = 20  # an hour, with the break
habit = [
  0, 0.25,
]

[tier_names]  # as on the rails
showpiece = "Window"
"""
NUMBERS = st.sampled_from(["wage", "coverage", "rail_cm"])
SHAPES = ("text", "number", "whole number", "yes or no", "choice", "folder", "list", "table")


def test_every_other_line_stays_as_it_was() -> None:
    text = changed_text(WRITTEN, {"wage": 26.5, "name": 'The "Loft"', "habit": [0, 0.3]})
    assert tomllib.loads(text) == {
        "wage": 26.5,
        "name": 'The "Loft"',
        "habit": [0, 0.3],
        "tier_names": {"showpiece": "Window"},
    }
    for line in ("# Our second shop, since spring.", "# an hour, with the break", "# as on the ra"):
        assert line in text


@given(st.dictionaries(NUMBERS, st.floats(1, 9), min_size=1))
def test_what_is_written_is_what_the_standard_reader_reads(values: dict[str, float]) -> None:
    """Python's own reader of TOML 1.0 is not what writes here."""
    before = tomllib.loads(WRITTEN)
    assert tomllib.loads(changed_text(WRITTEN, values)) == {**before, **values}


def test_a_table_under_a_heading_can_be_changed_as_well() -> None:
    text = changed_text(WRITTEN, {"tier_names": {"sound": "Good"}, "wage": 21})
    assert tomllib.loads(text)["tier_names"] == {"sound": "Good"}


def test_a_file_that_is_no_toml_is_said_so() -> None:
    with pytest.raises(SettingError, match="the file is not TOML"):
        changed_text("wage = ", {"wage": 2})


def test_a_file_is_changed_whole_or_not_at_all(tmp_path: Path, monkeypatch) -> None:
    path = tmp_path / "shop.toml"
    path.write_text("wage = 20\n")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(path, "wage = 30\n")
    assert path.read_text() == "wage = 20\n"
    assert list(tmp_path.iterdir()) == [path]


def test_what_a_form_shows_is_read_back_as_it_is() -> None:
    settings = read_settings(Path("anywhere"), environment={}, tier_names={"sound": "Good"})
    changed = []
    for name in sorted(set(Settings.model_fields) - {"records_url"}):
        kept = getattr(settings, name)
        text = as_text(kept)
        typed = with_typed(settings, {name: text.replace("\n", "\r\n") + "\n"})
        if typed or getattr(checked(name, from_text(name, text), settings), name) != kept:
            changed.append(name)
    assert changed == []


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("wage", " 26,5 ", 26.5),
        ("periods", "6", 6),
        ("copy_each_day", "No", False),
        ("marks", "0\n0,3\n\n0.6", [0, 0.3, 0.6]),
        ("rail_widths", "jacket = 5,5", {"jacket": 5.5}),
        ("tier_names", "sound = Good = better", {"sound": "Good = better"}),
        (
            "ticket_steps",
            "10 = 0,25\nAbove = 1",
            [{"under": 10, "step": 0.25}, {"under": float("inf"), "step": 1}],
        ),
    ],
)
def test_people_write_a_line_each_and_a_comma_or_a_point(name: str, text: str, value) -> None:
    assert from_text(name, text) == value


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("wage", "plenty", "wage: 'plenty' is not a number; write one such as 12.5."),
        ("wage", "inf", "wage: 'inf' is not a number"),
        ("periods", "2.5", "periods: '2.5' is not a whole number."),
        ("copy_each_day", "now and then", "copy_each_day: 'now and then' is neither yes nor no."),
        ("rail_widths", "jacket 5", "rail_widths: the line 'jacket 5' has no two sides"),
        ("ticket_steps", "20 = some", "ticket_steps: 'some' is not a number"),
    ],
)
def test_what_cannot_be_read_is_named_with_its_setting(name: str, text: str, sentence: str) -> None:
    with pytest.raises(SettingError) as caught:
        from_text(name, text)
    assert sentence in caught.value.sentence


def test_lists_and_tables_are_told_by_their_type_alone() -> None:
    shaped = {shape: {n for n in Settings.model_fields if shape_of(n) == shape} for shape in SHAPES}
    assert shaped["list"] == {"ticket_steps", "marks", "habit", "hosts", "other_shops"}
    assert shaped["table"] == {"tier_names", "rail_widths"}
    assert set().union(*shaped.values()) == set(Settings.model_fields)


def test_the_page_of_settings_is_up_to_date() -> None:
    page = Path(__file__).parents[2] / "resale/config/settings.md"
    again = "run: resale settings --reference > resale/config/settings.md"
    assert page.read_text(encoding="utf-8") == reference_page(), again
