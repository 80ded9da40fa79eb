"""What a watch over the server may read: how many requests, how long they took, and how they ended.

Each is counted under the rule of its address and never under the address itself, so that no number
of an item, no name and no word that somebody searched for stands in it.

References
----------
OpenMetrics 1.0, 'Text format' (Content-Type, names of counters and histograms), as written by the
reference library.
"""

from __future__ import annotations

import time

from flask import Flask, Response, current_app, g, request
from prometheus_client import CollectorRegistry, Counter, Histogram
from prometheus_client.openmetrics.exposition import CONTENT_TYPE_LATEST, generate_latest

MIME = CONTENT_TYPE_LATEST.split(";", maxsplit=1)[0]
_EXTENSION = "resale.measured"
# Seconds; a tap is to be answered in a tenth of one.
BOUNDS = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0)
NOWHERE = "no such address"


class Measured:
    """Counts of one application."""

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        self.requests = Counter(
            "resale_requests",
            "Requests answered, by address, method and status",
            ("address", "method", "status"),
            registry=self.registry,
        )
        self.seconds = Histogram(
            "resale_request_seconds",
            "Seconds from the first look at a request to its answer, by address",
            ("address",),
            buckets=BOUNDS,
            registry=self.registry,
        )

    def count(self, answer: Response) -> Response:
        """Count an answer as it leaves."""
        address = request.endpoint or NOWHERE
        # A method that no standard knows would be a label of a stranger's making.
        method = request.method if request.url_rule or request.method == "GET" else "other"
        self.requests.labels(address, method, str(answer.status_code)).inc()
        began = g.get("measured_from")
        if began is not None:
            self.seconds.labels(address).observe(time.perf_counter() - began)
        return answer


def init_app(app: Flask) -> None:
    """Count what an application answers, from here on."""
    measured = Measured()
    app.extensions[_EXTENSION] = measured
    app.before_request_funcs.setdefault(None, []).insert(0, _begin)
    app.after_request(measured.count)


def written() -> Response:
    """Write the counts of the present application in the OpenMetrics text format."""
    measured: Measured = current_app.extensions[_EXTENSION]
    text: bytes = generate_latest(measured.registry)  # type: ignore[no-untyped-call]
    return Response(text, content_type=CONTENT_TYPE_LATEST)


def _begin() -> None:
    g.measured_from = time.perf_counter()
