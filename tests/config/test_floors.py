"""No release with a known hole may be installed: each floor lies where the hole was closed.

Advisories were looked up on 2026-11-28 where that is said, and are from memory where it is not.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CLOSED = {
    # Seen: GHSA-68rp-wp8r-4726 in Flask's own release notes of 2026-02-18.
    "flask": ("3.1.3", "CVE-2026-27205"),
    # Seen: fourteen advisories closed in 12.3.0; those of October 2026 (CVE-2026-96639) after it.
    "pillow": ("13.0", "CVE-2026-59199, CVE-2026-96639"),
    # From memory.
    "fonttools": ("4.60.2", "CVE-2025-66034"),
    "jinja2": ("3.1.6", "CVE-2025-27516"),
    "scikit-learn": ("1.5.0", "CVE-2024-5206"),
    "waitress": ("3.0.1", "CVE-2024-49768, CVE-2024-49769"),
    "werkzeug": ("3.1.4", "CVE-2025-66221"),
}


def _floors() -> dict[str, tuple[int, ...]]:
    told = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["dependencies"]
    found = (re.match(r"([\w-]+)>=([\d.]+)", line) for line in told)
    return {one[1]: _number(one[2]) for one in found if one}


def _number(release: str) -> tuple[int, ...]:
    return tuple(map(int, release.split(".")))


@pytest.mark.parametrize("name", CLOSED)
def test_no_release_with_a_known_hole_may_be_installed(name: str) -> None:
    release, holes = CLOSED[name]
    assert _floors()[name] >= _number(release), holes
