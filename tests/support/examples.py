"""How many examples Hypothesis draws of what is dear: few everyday, many before a release.

`RESALE_EXAMPLES=5 pytest` draws five times as many, and anew each time.
"""

from __future__ import annotations

import os

NAME = "RESALE_EXAMPLES"


def times(everyday: int) -> int:
    """So many examples everyday, and as many times more as the environment says."""
    return everyday * int(os.environ.get(NAME, "1"))
