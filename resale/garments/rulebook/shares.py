"""How common each option of a signal is: always a whole, whoever wrote it or changed a part of it.

An author writes weights, and the loader makes them parts of 1. A kind, or a shop, says otherwise
about some options only: those hold as they were said, and the others share out what is left in
the proportions they had.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from resale.errors import RuleBookError

# What is said may miss the whole by so much; results are rounded so that a detour leaves no trace.
ROUNDING, DECIMALS = 0.005, 12


def parts_of_one(weights: Mapping[str, float]) -> dict[str, float]:
    """Scale weights to sum to 1; all zero stay zero.

    Examples
    --------
    >>> parts_of_one({"flap": 3, "patch": 1})
    {'flap': 0.75, 'patch': 0.25}
    """
    whole = sum(weights.values())
    return {
        name: round(weight / whole, DECIMALS) if whole else 0.0 for name, weight in weights.items()
    }


def with_fixed(shares: Mapping[str, float], fixed: Collection[str], where: str) -> dict[str, float]:
    """Keep the shares that were said, and let the others fill up the whole.

    Parameters
    ----------
    shares : mapping of option id to float
        As they stand now, with what was said already in its place.
    fixed : collection of str
        Options about which something was said. Where that is every option, all are weights.
    where : str
        The place in the book, for the sentence of a fault.

    Returns
    -------
    dict of option id to float
        Parts of 1.

    Raises
    ------
    RuleBookError
        Where what was said exceeds the whole, or nothing is there to take up the rest.

    Examples
    --------
    >>> with_fixed({"flap": 0.6, "patch": 0.3, "jetted": 0.2}, {"flap"}, "kind coat")
    {'flap': 0.6, 'patch': 0.24, 'jetted': 0.16}
    """
    taken = sum(shares[name] for name in fixed)
    rest = 1 - taken
    if rest < -ROUNDING:
        raise RuleBookError(
            f"the shares that were set sum to {taken:.3f}", where=where, remedy="keep them within 1"
        )
    free = {name: share for name, share in shares.items() if name not in fixed}
    before = sum(free.values())
    if before == 0 and rest > ROUNDING:
        raise RuleBookError(
            f"no other option has a share to take up the remaining {rest:.3f}",
            where=where,
            remedy="set the shares of the others too",
        )
    scale = max(rest, 0.0) / before if before else 0.0
    filled = {
        name: round(share * scale, DECIMALS) if name in free else share
        for name, share in shares.items()
    }
    return filled if free else parts_of_one(filled)
