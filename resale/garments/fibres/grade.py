"""Which rule of a fibre signal a label meets, and whether an unread share could matter."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from resale.garments.fibres.content import FibrePart
from resale.garments.fibres.names import FIBRES, UNKNOWN
from resale.garments.fibres.questions import SUM_TOLERANCE
from resale.garments.rulebook.gradings import FibreRule

BAMBOO = "bamboo"
UNMET = -1.0
_ANYTHING = frozenset({UNKNOWN, "other_fibres"})


def grade_fibres(
    part: FibrePart, rules: Sequence[FibreRule], option_ids: Sequence[str]
) -> str | None:
    """Find the option of the first rule that the part meets.

    Parameters
    ----------
    part : FibrePart
        Shares in percent of weight; some may be unread.
    rules : sequence of FibreRule
        In order; the first met wins.
    option_ids : sequence of str
        Options of the signal; where *bamboo* is one, viscose sold as bamboo comes to it.

    Returns
    -------
    str or None
        None where the shares add up to too much, or where what could not be read might change
        the answer.

    Examples
    --------
    >>> from resale.garments.fibres.reader import read_fibre_label
    >>> rules = [FibreRule(option="wool", fibres=("wool",), at_least=50),
    ...          FibreRule(option="rest", at_least=0)]
    >>> def grade(text): return grade_fibres(read_fibre_label(text).main, rules, ["wool", "rest"])
    >>> grade("60% wool 40% qwertyuiop"), grade("40% wool 60% qwertyuiop")
    ('wool', None)
    """
    if part.total > 100 + SUM_TOLERANCE:
        return None
    shares = {fibre: share for fibre, share in part.fibres if fibre not in _ANYTHING}
    open_share = _open_share(part, shares)
    open_fibres = set(part.named_only) | ({fibre for fibre, _ in part.fibres} & _ANYTHING)
    if not open_fibres and open_share:
        # Shares are missing altogether, so the rest could be any fibre.
        open_fibres = {UNKNOWN}
    met: list[FibreRule] = []
    for rule in rules:
        sure, possible = _reach(rule, shares, open_share, open_fibres)
        if possible >= rule.at_least:
            met.append(rule)
        if sure >= rule.at_least:
            break
    if len({rule.option for rule in met}) != 1:
        return None
    return BAMBOO if BAMBOO in option_ids and _is_bamboo(part, met[0]) else met[0].option


def _open_share(part: FibrePart, shares: Mapping[str, float]) -> float:
    """Percent that no known fibre accounts for; small gaps of an otherwise clear label are none."""
    gap = round(100 - sum(shares.values()), 2)
    clear = not part.named_only and not _ANYTHING & {fibre for fibre, _ in part.fibres}
    return 0.0 if gap <= 0 or (clear and gap <= SUM_TOLERANCE) else gap


def _reach(
    rule: FibreRule, shares: Mapping[str, float], open_share: float, open_fibres: set[str]
) -> tuple[float, float]:
    """Least and most percent that may count for a rule."""
    sure = round(sum(share for fibre, share in shares.items() if _counts(rule, fibre)), 2)
    if rule.also and not (shares.keys() | open_fibres) & set(rule.also):
        # The trace that the rule asks for is not on the label, though it may be in what is unread.
        return UNMET, (sure + open_share if open_fibres & _ANYTHING else UNMET)
    if not open_share:
        return sure, sure
    inside = [fibre in _ANYTHING or _counts(rule, fibre) for fibre in open_fibres]
    settled = not open_fibres & _ANYTHING
    least = open_share if settled and all(inside) else 0.0
    return sure + least, sure + (open_share if any(inside) else 0.0)


def _counts(rule: FibreRule, fibre_id: str) -> bool:
    return fibre_id in rule.fibres or FIBRES[fibre_id].fibre_class in rule.classes


def _is_bamboo(part: FibrePart, rule: FibreRule) -> bool:
    """Whether most of what met the rule is viscose that the label calls bamboo."""
    counted = [
        line for line in part.lines if line.fibre_id != UNKNOWN and _counts(rule, line.fibre_id)
    ]
    total = sum(line.percent or 0.0 for line in counted)
    called = sum(line.percent or 0.0 for line in counted if BAMBOO in line.marks)
    return called > 0 and 2 * called >= total
