"""Measures as a sorter types them, graded: a count with the gauge picked beside it, or a text."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from resale.errors import ReadingError
from resale.garments.measures.grading import Measured, measure
from resale.garments.measures.stitch_gauge import GAUGES
from resale.garments.rulebook.gradings import Stitches
from resale.garments.rulebook.signals import Signal


@dataclass(frozen=True)
class Measurement:
    """What came of one measure as typed: a grade with its words, or the trouble with it."""

    found: Measured | None
    trouble: str = ""

    @property
    def option_id(self) -> str | None:
        """The option it comes to, if it comes to one."""
        return self.found.option_id if self.found else None


def measured_as(signal: Signal, text: str, gauge: str, answers: Mapping[str, str]) -> Measurement:
    """Grade a measure as it was typed.

    Parameters
    ----------
    signal : Signal
    text : str
    gauge : str
        Id of the gauge that a bare count was made over; empty for none.
    answers : mapping of signal id to option id
        What else was looked at.
    """
    try:
        return Measurement(measure(signal, _with_gauge(signal, text, gauge), answers))
    except ReadingError as fault:
        return Measurement(None, fault.sentence)


def _with_gauge(signal: Signal, text: str, gauge: str) -> str:
    """Join a bare count to the gauge picked beside it."""
    if isinstance(signal.measure, Stitches) and gauge in GAUGES and re.fullmatch(r"[\d.,]+", text):
        return f"{text} in {GAUGES[gauge].length_mm:g} mm"
    return text
