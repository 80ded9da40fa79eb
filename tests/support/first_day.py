"""What an owner carries into an empty shop on the first day: files of an invented shop."""

from __future__ import annotations

from till_exports import Export, twenty

PEOPLE = "Nr,Name,Anteil\nC-1,Ada Erle,50\nC-2,Bo Fichte,60 %\n"
# A list of what hangs, as a shop keeps it: a price is its ticket, a day that of coming in.
STOCK = (
    "Nr.;Artikel;Marke;Größe;Preis;Kommittent;Eingang\n"
    "A-1;Herrensakko;Müllenhof;M;41,00;C-1;2026-02-03\n"
    "A-2;Stiefel;;40;20,00;C-1;2026-02-03\n"
    "A-3;Hemd weiß;Tröndle;S;12,00;C-2;2026-01-05\n"
    "A-4;Jeans;;M;18,00;C-2;2026-02-20\n"
    "A-5;Sommerkleid;;M;31,00;C-2;2026-02-20\n"
    "A-6;Lederhandtasche;;;25,00;;2026-02-20\n"
)
TICKETS = {"A-1": 4100, "A-2": 2000, "A-3": 1200, "A-4": 1800, "A-5": 3100, "A-6": 2500}
WORDS = {"schlupfer": "shoes", "köfferchen": "bag"}
"""What the owner says of the words in the file of past sales that nobody knows."""


def past() -> Export:
    """An export with titles above its headings, in German, in the letters of a workbook."""
    return next(one for one in twenty() if "-titled-de-" in one.name)
