"""The program's own files as trees, read once for all that look through them."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path


@cache
def tree_of(source: str) -> ast.Module:
    return ast.parse(source)


def tree_in(path: Path) -> ast.Module:
    return tree_of(path.read_text("utf-8"))
