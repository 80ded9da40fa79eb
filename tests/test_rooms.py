"""Rooms that a newcomer finds: no file too long, no folder too full, few tables unformatted.

The bounds are the project's own; see 'Rules for the code' in DEVELOPERS.md.
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

HERE = Path(__file__).parents[1]
CODE = sorted((HERE / "resale").rglob("*.py"))
MOST_LINES, MOST_FILES, MOST_SKIPS = 300, 20, 20


def too_long(lines: dict[str, int]) -> dict[str, int]:
    """Files beyond the bound."""
    return {name: n for name, n in lines.items() if n > MOST_LINES}


def unformatted(text: str) -> int:
    """How often the formatter is told to pass over lines."""
    return len(re.findall(r"# fmt: *(?:skip|off)", text))


def test_no_file_is_long() -> None:
    lines = {
        path.relative_to(HERE).as_posix(): path.read_text(encoding="utf-8").count("\n")
        for path in CODE
    }
    assert too_long(lines) == {}


def test_no_folder_is_full() -> None:
    # A folder's own line about itself is no file that one has to look through.
    files = Counter(
        path.parent.relative_to(HERE).as_posix() for path in CODE if path.name != "__init__.py"
    )
    full = {name: n for name, n in files.items() if n > MOST_FILES}
    assert full == {}


def test_no_two_files_of_tests_bear_one_name() -> None:
    """They are no packages, so pytest takes the second for the first and stops."""
    names = Counter(path.name for path in (HERE / "tests").rglob("test_*.py"))
    assert [name for name, n in names.items() if n > 1] == []


def test_few_tables_are_kept_from_the_formatter() -> None:
    files = (path for root in ("resale", "tests") for path in (HERE / root).rglob("*.py"))
    skips = sum(unformatted(path.read_text(encoding="utf-8")) for path in files)
    assert skips < MOST_SKIPS


def test_each_step_of_the_records_follows_the_one_before_it() -> None:
    """Two branches that take the same number would leave records that nobody can open."""
    steps = sorted((HERE / "resale/storage/db/migrations/versions").rglob("0*.py"))
    said = [
        re.findall(r'^(?:down_)?revision.* = "?(\w+)"?$', one.read_text("utf-8"), re.M)
        for one in steps
    ]
    numbers = [one.name[:4] for one in steps]
    assert said == [
        [here, before] for before, here in zip(["None", *numbers], numbers, strict=False)
    ]


def test_what_breaks_a_bound_is_found() -> None:
    assert too_long({"resale/new.py": 301, "resale/short.py": 300}) == {"resale/new.py": 301}
    assert unformatted("a = [1,2]  # fmt" + ": skip\n# fmt" + ": off\n") == 2


def test_the_map_sends_nobody_to_a_file_that_is_gone() -> None:
    guide = (HERE / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = guide.partition("Where would I change")[2].partition("\nThe arrows")[0]
    named = [one for one in re.findall(r"`([^`]+)`", table) if "/" in one and "KIND" not in one]
    assert len(named) > 5
    roots = (HERE, HERE / "resale", HERE / "resale/garments/rulebook")
    assert [one for one in named if not any((root / one).exists() for root in roots)] == []
