"""The windows that a page is looked at in: one in every run, the others before a release."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

PHONE, WIDE = (390, "light"), (1280, "dark")
EVERY = (PHONE, WIDE, (390, "dark"), (1280, "light"))


def in_windows(*paths: str) -> Sequence[Any]:
    """Give (path, width, scheme): by turns on a phone and on a wide screen in the dark.

    Each path in each other window is marked ``long``.
    """
    return [
        pytest.param(path, *window, marks=() if place == turn % 2 else pytest.mark.long)
        for turn, path in enumerate(paths)
        for place, window in enumerate(EVERY)
    ]
