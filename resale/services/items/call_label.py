"""A lead says what a label is called: two spellings are joined, parted, or written otherwise."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Engine

from resale.errors import ReadingError
from resale.garments.labels.label_key import label_key
from resale.services.actor import Actor
from resale.services.items.line_lengths import LONGEST
from resale.services.transaction import transaction
from resale.storage.items.label_rows import call, name_items_anew, names_with

ACTION = "said what a label is called"


def call_label(records: Engine, actor: Actor, written: str, name: str, at: datetime) -> int:
    """Call everything that is marked so by this name from now on.

    Parameters
    ----------
    actor : Actor
    written : str
        A spelling as it stands on things.
    name : str
        Another label joins the two; the spelling itself parts it again; the same letters written
        otherwise change how it is shown.
    at : datetime
        Now, in the shop's zone.

    Returns
    -------
    int
        Items that have another label now.

    Raises
    ------
    ReadingError
        If there is no name, it is too long, or it is itself called by this spelling.
    """
    name, key = _checked(name), label_key(written)
    with transaction(records, actor, at) as work:
        names = names_with(work.session, [written, name], at, actor.name)
        if label_key(name) != key and names.key_of(name) == key:
            raise ReadingError(
                f"{name} is called {names.name_of(name)} already",
                where="Labels",
                remedy=f"let {name} stand by itself first",
            )
        call(work.session, [(key, name)], at, actor.name)
        changed = name_items_anew(work.session)
        work.log(ACTION, name, written=written, items=changed)
    return changed


def _checked(name: str) -> str:
    plain = " ".join(name.split())
    if not plain:
        raise ReadingError("no name is given", where="Labels", remedy="write what it is called")
    if len(plain) > LONGEST["label"]:
        raise ReadingError(
            f"the name has {len(plain)} characters",
            where="Labels",
            remedy=f"shorten it to {LONGEST['label']}",
        )
    return plain
