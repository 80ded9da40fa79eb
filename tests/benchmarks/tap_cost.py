"""What a tap on the Bench costs the processor, against an empty route in the same process.

    python tests/benchmarks/tap_cost.py --write

Processor time of whole requests without a network, the least of many short rounds by turns: other
programs on the machine can only add to it. `desks.py` measures what fifty desks wait.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from flask import Flask
from flask.testing import FlaskClient

from resale.web import create_app

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from bench_forms import hidden_fields
from signed_in import signed_in

TABLE = Path(__file__).with_suffix(".md")
KIND, TAPS, ROUNDS = "jacket", 20, 30
LOOK = f"/bench/{KIND}/look"


def forms(app: Flask, client: FlaskClient) -> list[dict[str, str]]:
    """Give the forms of one item, a tap after the other."""
    fields = hidden_fields(client, f"/bench/{KIND}")
    kind = app.extensions["resale"].book.kinds[KIND]
    asked = [one for one in kind.signals if one.only_if is None]
    found = []
    for one in random.Random(4).sample(asked, TAPS):  # noqa: S311 - signs, not secrets
        fields = {**fields, f"s-{one.id}": one.option_ids[0]}
        found.append(fields)
    return found


def least(ask: Callable[[dict[str, str]], object], taps: list[dict[str, str]]) -> float:
    """Processor time of a request (ms) in one round."""
    began = time.process_time()
    for fields in taps:
        ask(fields)
    return 1000 * (time.process_time() - began) / len(taps)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--write", action="store_true")
    told = asked.parse_args()
    empty = Flask("empty")
    empty.add_url_rule("/<path:any>", view_func=lambda any: "", methods=["POST"])
    with tempfile.TemporaryDirectory() as place:
        app = create_app(Path(place))
        client, bare = signed_in(app, "sorter"), empty.test_client()
        taps = forms(app, client)
        live = {"HX-Request": "true"}
        assert client.post(LOOK, data=taps[-1], headers=live).status_code == 200
        rounds = [
            (
                least(lambda one: client.post(LOOK, data=one, headers=live), taps),
                least(lambda one: bare.post(LOOK, data=one, headers=live), taps),
            )
            for _ in range(ROUNDS)
        ]
    tap, nothing = (min(one) for one in zip(*rounds, strict=True))
    lines = [
        "| processor time of a request | ms |",
        "|---|---|",
        f"| live valuation | {tap:.2f} |",
        f"| empty route | {nothing:.2f} |",
        f"| between them | {tap - nothing:.2f} |",
    ]
    text = "\n".join(lines)
    print(text)
    if told.write:
        head = "# What a tap costs\n\n`python tests/benchmarks/tap_cost.py --write`\n\n"
        TABLE.write_text(f"{head}{text}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
