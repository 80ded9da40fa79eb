"""The arrows between the folders go one way; the contract stands in pyproject.toml."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent


def test_the_arrows_go_one_way():
    code = "from importlinter.cli import lint_imports_command as run; run()"
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr
