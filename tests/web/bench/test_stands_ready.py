"""What depends on the rule book, the prices and the settings alone stands ready for every tap.

An answer to a tap is asked for by every desk about once a second. How long it takes is measured in
`tests/benchmarks/desks.py`; here it is counted what is set up anew.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from bench_forms import Send
from flask import Flask

from resale.pricing.valuation import option_table
from resale.selling.mending import bound
from resale.web.core.shop import current_shop, renew_shop


@pytest.fixture
def set_up(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """Counts how often the tables of the next check and of mending are laid out."""
    seen: Counter[str] = Counter()

    def counted(module: Any, name: str) -> None:
        ours: Callable[..., Any] = getattr(module, name)

        def call(*given: Any) -> Any:
            seen[name] += 1
            return ours(*given)

        monkeypatch.setattr(module, name, call)

    counted(option_table, "tells_of")
    counted(bound, "option_code")
    return seen


def test_the_next_tap_sets_nothing_up_and_other_settings_do(
    app: Flask, send: Send, set_up: Counter[str]
) -> None:
    assert send("look", live=True, **{"s-stain": "seen_3"}).status_code == 200
    set_up.clear()
    assert send("look", live=True, **{"s-stain": "seen_3", "s-moth": "none"}).status_code == 200
    assert not set_up
    with app.app_context():
        dearer = current_shop().settings.model_copy(update={"wage": 97.5})
    renew_shop(app, dearer)
    assert send("look", live=True, **{"s-stain": "seen_3"}).status_code == 200
    assert set_up["tells_of"] > 0
    assert set_up["option_code"] > 0
