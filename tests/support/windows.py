"""The windows that a page is looked at in: one in every run, the others before a release."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

PHONE, WIDE = (390, "light"), (1280, "dark")
EVERY = (PHONE, WIDE, (390, "dark"), (1280, "light"))


def in_windows(*paths: str) -> Sequence[Any]:
    """Give (path, width, scheme): the first on a phone, the second on a wide screen in the dark.

    Every other path, and these two in each other window, are marked ``long``.
    """
    return [
        pytest.param(path, *window, marks=() if place == turn < 2 else pytest.mark.long)
        for turn, path in enumerate(paths)
        for place, window in enumerate(EVERY)
    ]
