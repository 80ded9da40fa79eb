"""What the bench of each kind costs in bytes and processor time, against the jacket's.

    python tests/benchmarks/page_cost.py

Bytes as sent, plain and packed (gzip, level 6), and processor time of a whole request without a
network: the page, and a tap on it. Kinds take turns, and the least of the rounds counts, as other
programs can only add to it. A ratio above 1 is dearer than a jacket.
"""

from __future__ import annotations

import argparse
import gzip
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from resale.web import create_app

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
from bench_forms import hidden_fields
from signed_in import signed_in

AGAINST = "jacket"


def spent(work: Callable[[], object]) -> float:
    """Processor time (ms)."""
    began = time.process_time()
    work()
    return 1000 * (time.process_time() - began)


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--rounds", type=int, default=8)
    rounds = asked.parse_args().rounds
    with tempfile.TemporaryDirectory() as place:
        app = create_app(Path(place))
        client = signed_in(app, "sorter")
        kinds = tuple(app.extensions["resale"].book.kinds)
        pages = {kind: client.get(f"/bench/{kind}").data for kind in kinds}
        forms = {kind: hidden_fields(client, f"/bench/{kind}") for kind in kinds}
        live = {"HX-Request": "true"}
        page, tap = dict.fromkeys(kinds, 1e9), dict.fromkeys(kinds, 1e9)
        for _ in range(rounds):
            for kind in kinds:
                at = f"/bench/{kind}"
                page[kind] = min(page[kind], spent(lambda at=at: client.get(at)))
                send = lambda at=at, kind=kind: client.post(  # noqa: E731
                    f"{at}/look", data=forms[kind], headers=live
                )
                tap[kind] = min(tap[kind], spent(send))
    packed = {kind: len(gzip.compress(pages[kind], 6)) for kind in kinds}
    columns = (
        {kind: len(data) for kind, data in pages.items()},
        packed,
        page,
        tap,
    )
    heads = ("bytes", "packed", "page ms", "tap ms")
    print(f"{'kind':12s}" + "".join(f"{head:>9s} {'ratio':>5s}" for head in heads))
    for kind in sorted(kinds, key=lambda one: -packed[one]):
        cells = (f"{c[kind]:9.4g} {c[kind] / c[AGAINST]:5.2f}" for c in columns)
        print(f"{kind:12s}" + "".join(cells))


if __name__ == "__main__":
    main()
