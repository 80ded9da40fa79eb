"""The unit file and the container file say what the README and the commands say.

systemd's own `systemd-analyze` checks the unit (verify, and security --offline, systemd 250 and
newer). No container was built here: its file's lines are looked at one by one.
"""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from resale.cli import main as cli
from resale.cli.serve import PORT
from resale.config.settings import Settings

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
UNIT = ROOT / ".ci/resale@.service"
CONTAINER = (ROOT / ".ci/Containerfile").read_text(encoding="utf-8")
# Of 100: systemd calls what lies below 20 "OK" and better.
EXPOSED = 20


def instructions() -> list[tuple[str, str]]:
    lines = [one for one in CONTAINER.splitlines() if one and not one.startswith("#")]
    return [tuple(one.split(" ", 1)) for one in lines]


def said(name: str) -> list[str]:
    return [words for first, words in instructions() if first == name]


def opens(words: list[str]) -> dict[str, object]:
    """What the command `open` understands of its words."""
    program, command, *more = words
    assert program.endswith(".venv/bin/resale") and command == "open"
    found = cli.commands.get_command(None, "open")
    return found.make_context("open", more, resilient_parsing=True).params


def settings_named(text: str) -> set[str]:
    return {one.lower() for one in re.findall(r"\bRESALE_([A-Z_]+)", text)}


def test_the_container_installs_as_the_readme_does_and_opens_as_nobody_special() -> None:
    known = {"FROM", "RUN", "WORKDIR", "COPY", "USER", "VOLUME", "ENV", "EXPOSE", "CMD"}
    assert {first for first, _ in instructions()} == known
    (install,) = (one for one in said("RUN") if "pip install" in one)
    begin, rest = install.split(" && ")
    assert f"{begin} && " in README and rest in README
    for words in said("COPY"):
        *sources, _ = words.split()
        assert all((ROOT / one).exists() for one in sources)
    project = (ROOT / "pyproject.toml").read_text("utf-8")
    shipped = re.findall(r'^"(\w+)" = "resale/shipped/', project, re.M)
    assert {*shipped, "resale"} <= {one.split()[0] for one in said("COPY")}
    assert said("USER") == ["resale"] and said("EXPOSE") == [str(PORT)]
    asked = opens(json.loads(said("CMD")[0]))
    assert asked["no_browser"] and asked["port"] == PORT
    assert [str(asked["folder"])] == said("VOLUME")
    assert settings_named(CONTAINER) <= set(Settings.model_fields)


def test_the_unit_opens_one_process_a_port_and_writes_to_one_folder() -> None:
    text = UNIT.read_text(encoding="utf-8")
    lines = dict(one.split("=", 1) for one in text.splitlines() if re.match(r"\w+=", one))
    asked = opens(shlex.split(lines["ExecStart"].replace("%i", "8765")))
    assert asked["no_browser"] and asked["port"] == 8765
    assert str(asked["folder"]) == lines["ReadWritePaths"] == f"/var/lib/{lines['StateDirectory']}"
    assert settings_named(text) <= set(Settings.model_fields)
    assert "systemctl enable --now resale@8765 resale@8766" in README


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="systemd is not installed")
def test_systemd_finds_no_fault_and_little_exposure_in_the_unit(tmp_path: Path) -> None:
    # The program of this tree stands for that of /opt, which is not there.
    text = UNIT.read_text(encoding="utf-8").replace("/opt/resale/.venv/bin/resale", sys.executable)
    unit = tmp_path / "resale@8765.service"
    unit.write_text(text.replace("/opt/resale", str(ROOT)), encoding="utf-8")
    for words in (["verify", "--man=no"], ["security", "--offline=true", f"--threshold={EXPOSED}"]):
        ran = subprocess.run(
            ["systemd-analyze", *words, unit], capture_output=True, text=True, check=False
        )
        ours = [one for one in (ran.stdout + ran.stderr).splitlines() if "resale@" in one]
        assert ran.returncode == 0, ours or ran.stderr
