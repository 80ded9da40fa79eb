"""Moments as the records keep them: in UTC, without saying so in each row."""

from __future__ import annotations

from datetime import UTC, datetime


def stored(at: datetime) -> datetime:
    """Give a moment as a row keeps it."""
    return at.astimezone(UTC).replace(tzinfo=None)


def told(moment: datetime) -> datetime:
    """Give a row's moment with its zone."""
    return moment.replace(tzinfo=UTC)
