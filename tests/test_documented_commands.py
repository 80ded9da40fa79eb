"""Every command that the pages tell a person to type is there, and takes the words that they give.

Commands of the shop are asked for their help, and each option that a page uses has to be in it.
Programs of the tree are started with ``--help``; tests are looked for. Nothing runs for long.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
from collections.abc import Iterator
from pathlib import Path

import click
import nursery
import pytest
from click.testing import CliRunner

from resale.cli import main as cli

ROOT = Path(__file__).parent.parent
PAGES = (
    "README.md",
    "DEVELOPERS.md",
    "resale/config/settings.md",
    "demo_data/README.md",
    "models/README.md",
    "tests/benchmarks/README.md",
)
FIRST = frozenset({"resale", "python", "pytest", "pip", ".ci/pin", ".ci/newest", ".ci/run"})
BLOCK = re.compile(r"^ *```sh\n(.*?)^ *```", re.S | re.M)
INLINE = re.compile(r"`([^`\n]+)`")


def commands_of(page: str) -> Iterator[list[str]]:
    """Every command of a page as words, whether in a block of its own or within a line."""
    text = (ROOT / page).read_text(encoding="utf-8")
    lines = [line.strip() for block in BLOCK.findall(text) for line in block.splitlines()]
    inline = INLINE.findall(BLOCK.sub("", text))
    for line in (*lines, *inline):
        for part in line.split("&&"):
            words = shlex.split(part, comments=True) if part.strip() else []
            first = words[0].removeprefix(".venv/bin/") if words else ""
            # A bare name within a line speaks of the program, not of something to type.
            if first in FIRST and (len(words) > 1 or first.startswith(".ci/")):
                yield [first, *words[1:]]


FOUND = sorted({tuple(words) for page in PAGES for words in commands_of(page)})


def the(first: str) -> list[tuple[str, ...]]:
    return [words[1:] for words in FOUND if words[0] == first]


def test_the_pages_are_read_at_all() -> None:
    firsts = {words[0] for words in FOUND}
    assert firsts >= {"resale", "python", "pytest", "pip", ".ci/pin", ".ci/newest"}
    assert {"open", "bring", "fit", "value", "settings", "keep"} <= {
        one[0] for one in the("resale")
    }


@pytest.mark.parametrize("words", the("resale"), ids=" ".join)
def test_a_command_of_the_shop_takes_the_words_that_a_page_gives(words: tuple[str, ...]) -> None:
    group, rest = cli.commands, list(words)
    asked = [rest.pop(0)] if not rest[0].startswith("-") else []
    if asked and hasattr(group.get_command(click.Context(group), asked[0]), "commands"):
        asked.append(rest.pop(0))
    ran = CliRunner().invoke(group, [*asked, "--help"])
    assert ran.exit_code == 0, ran.output
    for option in (one.split("=")[0] for one in rest if one.startswith("--")):
        assert option in ran.output


START_EACH = """
import contextlib, io, os, runpy, sys
for path in sys.argv[1:]:
    sys.argv, sys.path[0], said = [path, "--help"], os.path.dirname(path), io.StringIO()
    try:
        with contextlib.redirect_stdout(said):
            runpy.run_path(path, run_name="__main__")
    except SystemExit as end:
        assert not end.code, path
    assert "usage: " in said.getvalue(), path
"""


def test_programs_of_the_tree_start() -> None:
    paths = sorted({words[0] for words in the("python") if not words[0].startswith("-")})
    assert "tests/benchmarks/speed.py" in paths
    ran = nursery.run(paths, os.environ, code=START_EACH)
    assert ran.returncode == 0, ran.stderr


def test_tests_that_are_named_are_there() -> None:
    for words in the("pytest"):
        for path in (one for one in words if "/" in one):
            assert (ROOT / path).exists(), words


def test_what_is_installed_is_what_the_project_offers() -> None:
    extras = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    for words in the("pip"):
        assert ".ci/constraints.txt" in words, words
        for extra in re.findall(r"[a-z]+", "".join(re.findall(r"\[(.*)\]", words[-1]))):
            assert re.search(rf"^{extra} = \[", extras, re.M), words


def test_scripts_beside_the_tree_can_be_started() -> None:
    for name in (one[0] for one in FOUND if one[0].startswith(".ci/")):
        checked = subprocess.run(["bash", "-n", name], cwd=ROOT, capture_output=True, check=False)
        assert checked.returncode == 0, checked.stderr
        assert (ROOT / name).stat().st_mode & 0o111, name


LINK = re.compile(r"\[[^\]]*\]\(([^)#:]+)\)|src=\"([^\"]+)\"")


@pytest.mark.parametrize("page", [*PAGES, "demo_data/pictures/README.md"])
def test_every_link_of_a_page_leads_somewhere(page: str) -> None:
    place = ROOT / page
    for way in (first or second for first, second in LINK.findall(place.read_text("utf-8"))):
        assert (place.parent / way).exists(), way
