"""What a scanner or a hurried hand gives for an item: an address, a number, or its last figures."""

from __future__ import annotations

import re
from urllib.parse import parse_qs, urlsplit

_BARE = re.compile(r"(?:q\s*-?\s*)?0*(\d{1,9})", re.IGNORECASE)
LONGEST = 500


def number_in(text: str) -> str:
    """Give the item number that a scanned or typed text means.

    Examples
    --------
    >>> number_in("http://till:8765/ledger?number=Q-00017"), number_in("17"), number_in("q 17")
    ('Q-00017', 'Q-00017', 'Q-00017')
    """
    scanned = text.strip()[:LONGEST]
    parameter = parse_qs(urlsplit(scanned).query).get("number") if "?" in scanned else None
    scanned = parameter[0].strip() if parameter else scanned
    bare = _BARE.fullmatch(scanned)
    return f"Q-{int(bare[1]):05d}" if bare else scanned.upper()
