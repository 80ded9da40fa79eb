"""A command loads what it needs: the version and the list of commands need next to nothing."""

from __future__ import annotations

import subprocess
import sys

import click
import pytest
from click.testing import CliRunner

from resale.cli.main import COMMANDS, commands

HEAVY = {
    "alembic",
    "fontTools",
    "fpdf",
    "flask",
    "matplotlib",
    "numpy",
    "openpyxl",
    "pandas",
    "pydantic",
    "scipy",
    "sklearn",
    "sqlalchemy",
}


def loaded_after(code: str) -> set[str]:
    """Top-level modules that a fresh interpreter has after some code."""
    said = f"{code}\nimport sys; print(*sorted({{name.split('.')[0] for name in sys.modules}}))"
    ran = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True)
    return set(ran.stdout.split("\n")[-2].split())


def test_the_command_line_alone_loads_no_library_but_the_one_that_reads_words() -> None:
    assert loaded_after("import resale.cli.main") & HEAVY == set()


def test_the_version_and_the_list_of_commands_load_none_either() -> None:
    code = "from resale.cli.main import commands\ntry: commands.main({!r})\nexcept SystemExit: pass"
    for words in (["--version"], ["--help"]):
        assert loaded_after(code.format(words)) & HEAVY == set(), words


@pytest.mark.long
def test_the_screens_load_no_plots_no_paper_and_no_learning_before_one_is_asked_for() -> None:
    loaded = loaded_after("import resale.web")
    assert loaded & {"matplotlib", "fontTools", "fpdf", "sklearn", "pytesseract"} == set()
    assert "flask" in loaded


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_is_where_the_list_says_and_says_the_same_of_itself(name: str) -> None:
    found = commands.get_command(click.Context(commands), name)
    assert found is not None and found.name == name
    assert found.short_help == COMMANDS[name].line
    assert COMMANDS[name].line in CliRunner().invoke(commands, ["--help"]).output


def test_a_name_that_is_no_command_is_one_sentence() -> None:
    ran = CliRunner().invoke(commands, ["opne"])
    assert ran.exit_code == 2
    assert ran.stderr.startswith("no such command 'opne'") and ran.stderr.count("\n") == 1
