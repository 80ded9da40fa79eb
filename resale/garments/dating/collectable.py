"""Which answers on age make a thing one that is wanted for it, and what age excuses."""

from __future__ import annotations

from resale.garments.rulebook.rule_book import Kind

AGE_SIGN = "label_era"
# Answers that say old; wanted for it only where the book pays more for them in that kind: a coated
# raincoat of thirty years is merely old.
OLD = frozenset({"older_label", "union_or_utility"})
# Smell and what lives in a thing are no age.
NEVER_EXCUSED = frozenset({"odour", "shoe_odour", "mould", "pests"})


def collectable_codes(kind: Kind) -> tuple[int, ...]:
    """Places of the answers on age that make a thing of this kind wanted for it.

    Parameters
    ----------
    kind : Kind

    Returns
    -------
    tuple of int
        Empty where its age is not asked, or not paid for.
    """
    sign = kind.by_id.get(AGE_SIGN)
    return tuple(
        code
        for code, option in enumerate(sign.options if sign else ())
        if option.id in OLD and option.effect > 1
    )


def excused_by_age(signal_id: str) -> bool:
    """Whether buyers of old things expect this sort of wear."""
    return signal_id not in NEVER_EXCUSED
