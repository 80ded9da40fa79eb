"""A mistyped folder is asked about, and never made."""

from __future__ import annotations

import pytest
from click.testing import CliRunner

from resale.cli.main import commands

COMMANDS = [["fit"], ["open", "--no-browser"], ["labels"], ["settings"], ["let-in"], ["keep"]]


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_folder_that_is_not_there_is_never_made(tmp_path, words):
    place = tmp_path / "shpo"
    ran = CliRunner().invoke(commands, [*words, "--folder", str(place)])
    assert ran.exit_code == 2
    assert "there is no such folder" in ran.stderr
    assert not place.exists()
