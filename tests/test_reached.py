"""What is written is reached: each module from a command, each public name from something else."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import grimp
from sources import tree_in

from resale.cli.main import COMMANDS

ROOT = Path(__file__).parent.parent
# Alembic finds its steps by their folder.
FOUND_BY_OTHERS = ("resale.storage.db.migrations",)
# The face that scikit-learn knows, for the benchmarks on open tables and whoever has a table of
# their own: the shop's prices go through the same fit, and load no learning library for it.
A_FACE = "resale.pricing.model.estimator"
# Views, commands and steps of the tables are called by their address.
PASSED_OVER = ("resale/web", "resale/cli", *(one.replace(".", "/") for one in FOUND_BY_OTHERS))


def test_every_module_is_reached_from_a_command_or_the_face() -> None:
    graph = grimp.build_graph("resale", cache_dir=None)
    doors = {"resale.cli.main", A_FACE, *(place.module for place in COMMANDS.values())}
    reached = doors.union(*map(graph.find_upstream_modules, doors))
    packages = {one for one in graph.modules if graph.find_children(one)}
    left = {
        one for one in graph.modules - reached - packages if not one.startswith(FOUND_BY_OTHERS)
    }
    assert left == set()


def test_every_public_name_below_the_doors_is_used_by_something() -> None:
    """What only a test calls is a promise to nobody. Views and commands are called by address."""
    used: set[str] = set()
    defined = []
    for path in sorted((ROOT / "resale").rglob("*.py")):
        tree = tree_in(path)
        used |= set(map(_named, ast.walk(tree)))
        place = path.relative_to(ROOT).as_posix()
        if place.startswith(PASSED_OVER):
            continue
        defined += [
            (place, one.name)
            for one in tree.body
            if isinstance(one, ast.FunctionDef | ast.ClassDef) and one.name[0] != "_"
        ]
    for folder, ending in (("templates", "*.html"), ("demo_data", "*.py")):
        for path in (ROOT / folder).rglob(ending):
            used |= set(re.findall(r"\w+", path.read_text("utf-8")))
    left = {f"{place}: {name}" for place, name in defined if name not in used}
    assert left == {f"{A_FACE.replace('.', '/')}.py: RulePriorRegressor"}


def _named(node: ast.AST) -> str:
    """The name that a piece of a program calls or reads, or nothing."""
    if isinstance(node, ast.Name):
        return node.id
    return node.attr if isinstance(node, ast.Attribute) else ""
