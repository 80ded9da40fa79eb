"""The stitched edge that tells a ticket's tier without colour, for screen and paper alike.

Better made is sewn better: two rows of long stitches at the top, a few loose ones at the bottom.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class StitchEdge:
    """How the edge of one tier is sewn.

    Attributes
    ----------
    words : str
        The pattern in words, for a legend and for readers of the screen.
    rows : int
        Rows of stitches side by side.
    run : tuple of float
        Stitch and gap in turn, in mm on paper, repeated along the edge.
    """

    words: str
    rows: int
    run: tuple[float, ...]

    def stitches(self, length: float) -> Iterator[tuple[float, float]]:
        """Give the start and end of each stitch along an edge of a length (mm).

        Only whole runs are sewn, centred, so that an edge ends as it begins.
        """
        repeat = sum(self.run)
        times = int((length + self.run[-1]) // repeat)
        start = (length - times * repeat + self.run[-1]) / 2
        for time in range(times):
            at = start + time * repeat
            for stitch, gap in zip(self.run[::2], self.run[1::2], strict=True):
                yield at, at + stitch
                at += stitch + gap


# From the best tier down, as the rule book lists its tiers.
EDGES = (
    StitchEdge("two rows of long stitches", 2, (4.0, 1.2)),
    StitchEdge("one row of long stitches", 1, (4.0, 1.2)),
    StitchEdge("one row of short stitches", 1, (1.8, 1.8)),
    StitchEdge("stitches in pairs", 1, (0.9, 0.9, 0.9, 3.0)),
    StitchEdge("single stitches, far apart", 1, (0.9, 4.5)),
)


def edge_of(place: int) -> StitchEdge:
    """Give the edge of the tier at a place of the rule book's list; 0 is the best.

    A shop that keeps more tiers than there are patterns sews the lowest ones alike.
    """
    return EDGES[min(max(place, 0), len(EDGES) - 1)]
