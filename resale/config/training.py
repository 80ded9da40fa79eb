"""What a shop decides about second looks and about who works alone."""

from __future__ import annotations

from pydantic import BaseModel

from resale.config.fields import setting

COUNTED = "Which second looks count as misread, from the next page on; none is read anew."
TESTED = "Who passes the test for working alone, from the next page on; whom a lead let stays."


class TrainingSettings(BaseModel):
    """Settings of second looks: what counts as misread, and the test for working alone."""

    misread_beyond: float = setting(
        0.15,
        "Share of a price by which a reading may be off before the thing counts as misread.",
        unit="share",
        changes=COUNTED,
        gt=0,
        le=1,
    )
    alone_good: float = setting(
        0.05,
        "Share of things misread with which somebody should work alone.",
        unit="share",
        changes=TESTED,
        gt=0,
        le=0.4,
    )
    alone_bad: float = setting(
        0.20,
        "Share of things misread with which nobody should; above the good share.",
        unit="share",
        changes=TESTED,
        gt=0,
        le=0.8,
    )
    alone_risk: float = setting(
        0.05,
        "Risk of ever letting somebody work alone who misreads as many as nobody should.",
        unit="share",
        changes=TESTED,
        gt=0,
        le=0.4,
    )
    alone_held_back: float = setting(
        0.10,
        "Risk that one test stops somebody who misreads no more than the good share.",
        unit="share",
        changes=TESTED,
        gt=0,
        le=0.4,
    )
    looked_back: int = setting(
        180,
        "Days over which second looks are told: older ones stay in the records.",
        unit="days",
        changes="What Agreement and a person's page rest on, from the next page on.",
        ge=14,
        le=3_650,
    )
