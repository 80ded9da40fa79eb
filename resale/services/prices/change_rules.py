"""Changing the rule book: rows that say which change they were made from."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from resale.garments.rulebook.overlay import RuleChange
from resale.services.actor import Actor
from resale.services.shop import Shop
from resale.services.transaction import transaction
from resale.storage.models.rule_changes import write_changes


def change_rules(
    shop: Shop, actor: Actor, changes: Sequence[RuleChange], made_from: int, at: datetime
) -> None:
    """Add changes to the rule book, all or none.

    Parameters
    ----------
    actor : Actor
        Whoever changes it.
    changes : sequence of RuleChange
        Each with its reason.
    made_from : int
        Number of the newest change that they had seen.

    Raises
    ------
    ChangedMeanwhileError
        If somebody else changed the book since; it says what.
    """
    with transaction(shop.records, actor, at) as work:
        write_changes(work.session, changes, made_from=made_from, at=at)
        work.log("changed the rule book", ", ".join(sorted({one.signal for one in changes}))[:120])
