"""One opinion of a rule book changed, as an owner would."""

from resale.garments.rulebook.edits import EVERY_KIND, Edit, with_edits
from resale.garments.rulebook.rule_book import RuleBook, checked


def with_change(
    book: RuleBook,
    kind: str | None,
    signal: str,
    option: str,
    *,
    effect: float | None = None,
    doubt: float | None = None,
    share: float | None = None,
) -> RuleBook:
    """Change one option of a book, in one kind or (None) in every kind that has the signal."""
    given: dict[str, float | None] = {"effect": effect, "doubt": doubt, "share": share}
    raw = {"kind": kind or EVERY_KIND, "signal": signal, "option": option}
    where = f"{kind or 'every kind'}, {signal}, {option}"
    edits = [
        checked(Edit, {**raw, "field": field, "value": value}, where)
        for field, value in given.items()
        if value is not None
    ]
    return with_edits(book, edits)
