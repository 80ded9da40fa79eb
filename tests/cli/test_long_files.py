"""A file that is read block by block is priced as if it were read at once."""

import numpy as np
import pytest
from click.testing import CliRunner

from resale.cli.main import commands
from resale.storage.imports.items import own_items


@pytest.fixture
def run(tmp_path, monkeypatch):
    monkeypatch.setenv("RESALE_DATA_FOLDER", str(tmp_path / "shop"))
    monkeypatch.chdir(tmp_path)
    return lambda *words: CliRunner().invoke(commands, [str(word) for word in words])


def test_blocks_of_a_file_are_priced_as_the_file(run, tmp_path, monkeypatch):
    rng = np.random.default_rng(4)
    rows = ["number;kind;cuff_buttons;note", "T0;zeppelin;;a kind that is none"]
    for n in range(1, 60):
        rows.append(f'T{n};jacket;{rng.choice(["working", "none", ""])};"line\nnext {n}"')
    rows += ["T60;jacket;of gold;", "T61;jacket;none;"]
    (tmp_path / "rack.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    once = run("value", "rack.csv")
    whole = [(tmp_path / f"rack-{name}.csv").read_bytes() for name in ("valued", "came-back")]
    monkeypatch.setattr(own_items, "WHOLE_UP_TO", 100)
    monkeypatch.setattr(own_items, "BLOCK", 500)
    again = run("value", "rack.csv")
    assert once.exit_code == again.exit_code == 1
    assert "60 items priced" in once.stderr
    assert once.stderr.splitlines()[-1] == again.stderr.splitlines()[-1]
    parts = [(tmp_path / f"rack-{name}.csv").read_bytes() for name in ("valued", "came-back")]
    assert parts == whole
