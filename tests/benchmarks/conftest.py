"""Benchmarks take minutes and further packages: they run only when asked for by folder."""

from pathlib import Path

import pytest

HERE = Path(__file__).parent


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Leave the folder out unless the command line names it."""
    base = config.invocation_params.dir
    asked = [(base / word.split("::")[0]).resolve() for word in config.args]
    return None if any(path.is_relative_to(HERE) for path in asked) else True
