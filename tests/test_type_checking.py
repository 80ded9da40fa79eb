"""No import circle is hidden: nothing is imported for the type checker alone."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

FILES = sorted((Path(__file__).parents[1] / "resale").rglob("*.py"))


def hides(source: str) -> bool:
    """Whether a source names `TYPE_CHECKING`, by import or as an attribute."""
    if "TYPE_CHECKING" not in source:
        return False
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom) and "TYPE_CHECKING" in {one.name for one in node.names}:
            return True
        if isinstance(node, ast.Attribute) and node.attr == "TYPE_CHECKING":
            return True
    return False


def test_nothing_is_imported_for_the_type_checker_alone() -> None:
    assert FILES
    assert [path.name for path in FILES if hides(path.read_text(encoding="utf-8"))] == []


@pytest.mark.parametrize(
    "source",
    ["from typing import Any, TYPE_CHECKING", "import typing\nif typing.TYPE_CHECKING: ..."],
)
def test_either_way_of_hiding_is_seen(source: str) -> None:
    assert hides(source)
