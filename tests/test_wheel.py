"""A wheel carries the four folders that stand beside the package in the source tree."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
OPEN_EVERY_SCREEN = """
import sys
from pathlib import Path
from resale.web import create_app
import resale
assert "unpacked" in resale.__file__, resale.__file__
client = create_app(Path(sys.argv[1]), demo=True).test_client()
for address in (
    "/", "/bench/jacket", "/items", "/static/styles/bench.css", "/static/vendor/htmx.min.js",
):
    answer = client.get(address, follow_redirects=True)
    assert answer.status_code == 200, (address, answer.status_code)
"""


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    (wheel,) = folder.glob("*.whl")
    target = folder / "unpacked"
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(target)
    return target


def test_the_wheel_holds_no_leftovers(unpacked):
    names = {path.name for path in unpacked.rglob("*")}
    assert names.isdisjoint({"__pycache__", ".git", "tests"})


@pytest.mark.long
def test_a_shop_opens_from_the_wheel_alone(unpacked, tmp_path):
    ran = subprocess.run(
        [sys.executable, "-c", OPEN_EVERY_SCREEN, str(tmp_path / "shop")],
        cwd=tmp_path,
        env={"PYTHONPATH": str(unpacked), "PATH": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
