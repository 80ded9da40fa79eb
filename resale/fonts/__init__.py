"""The typeface of tickets, papers and plots: two files under the SIL Open Font License 1.1.

They came from release 0.0.1 of font-source-sans-pro; LICENSE.txt, beside them, goes where they go.
"""

from pathlib import Path

_HERE = Path(__file__).parent
REGULAR = _HERE / "SourceSansPro-Regular.ttf"
BOLD = _HERE / "SourceSansPro-Bold.ttf"
