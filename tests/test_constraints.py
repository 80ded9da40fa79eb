"""A newcomer gets the releases that the tests were green with: every library of ours is pinned."""

import re
import tomllib
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parent.parent
LINES = (ROOT / ".ci/constraints.txt").read_text(encoding="utf-8").splitlines()
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def pinned():
    asked = map(Requirement, (line for line in LINES if not line.startswith("#")))
    return {canonicalize_name(one.name): one.specifier for one in asked}


def test_a_line_is_a_name_and_a_release_and_nothing_of_where_it_came_from():
    """PEP 508 names, PEP 440 releases without a local part, and a marker where one is needed."""
    plain = re.compile(r"[A-Za-z0-9._-]+==[0-9][A-Za-z0-9.]*( ; [a-z_]+ [<>=!]+ \"[0-9.]+\")?")
    assert [line for line in LINES if not line.startswith("#") and not plain.fullmatch(line)] == []
    assert LINES[1:] == sorted(LINES[1:], key=str.casefold)


def test_every_library_of_ours_is_pinned_to_a_release_that_it_allows():
    more = PROJECT["optional-dependencies"]
    asked = map(
        Requirement, [*PROJECT["dependencies"], *(one for each in more.values() for one in each)]
    )
    pins = pinned()
    for one in asked:
        (pin,) = pins[canonicalize_name(one.name)]
        assert one.specifier.contains(pin.version), one.name


def test_both_commands_of_the_readme_take_the_pinned_releases():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for marker in ("start", "tests"):
        command = readme.split(f"<!-- {marker} -->\n```sh\n")[1].split("\n```")[0]
        assert "-c .ci/constraints.txt" in command
