"""The arrows between the folders go one way; the contract stands in pyproject.toml."""

import subprocess
import sys
from graphlib import TopologicalSorter
from pathlib import Path

import grimp

ROOT = Path(__file__).parent.parent


def test_the_arrows_go_one_way():
    code = "from importlinter.cli import lint_imports_command as run; run()"
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr


def test_no_module_imports_itself_by_a_detour():
    """Imports that only the type checker reads count too: a circle hidden is a circle."""
    graph = grimp.build_graph("resale", cache_dir=None)
    imports = {one: graph.find_modules_directly_imported_by(one) for one in graph.modules}
    # Raises CycleError, with the modules of the circle.
    TopologicalSorter(imports).prepare()
