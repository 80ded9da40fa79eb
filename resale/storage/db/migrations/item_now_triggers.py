"""Where each item is now, kept by the database itself in the write that changes it.

A row of `item_now` follows from the events and valuations of its item. Triggers write it anew with
every one of them, whoever writes it, so no door can forget to; the same words write all rows anew,
and tell whether those that stand agree.
"""

from __future__ import annotations

COLUMNS = (
    "item_id",
    "kind",
    "place",
    "what",
    "day",
    "event_id",
    "amount",
    "currency",
    "valuation_id",
    "changed",
)
# The last of some events of an item as they hold: corrections applied, struck ones left out.
_LAST = """(
    SELECT e.id FROM event e
    LEFT JOIN event c ON c.id = (SELECT max(o.id) FROM event o WHERE o.corrects = e.id)
    WHERE e.item_id = i.id AND e.what IN ({steps}) AND c.strikes IS NOT TRUE
    ORDER BY coalesce(c.day, e.day) DESC, e.id DESC LIMIT 1)"""
_MOVES = "'taken_in', 'put_out', 'sold', 'returned', 'withdrawn', 'passed_on'"
_STEPS = f"{_MOVES}, 'ticketed', 'marked_down'"
_SELECTED = f"""SELECT i.id, i.kind,
  CASE m.what WHEN 'put_out' THEN 'on_rail' WHEN 'sold' THEN 'sold' WHEN 'passed_on' THEN 'gone'
    WHEN 'taken_in' THEN 'back_room' WHEN 'returned' THEN 'back_room'
    WHEN 'withdrawn' THEN 'back_room' ELSE 'nowhere' END,
  coalesce(s.what, ''), coalesce(k.day, s.day), s.id,
  CASE WHEN k.id IS NULL THEN s.amount ELSE k.amount END, coalesce(s.currency, ''),
  (SELECT max(v.id) FROM valuation v WHERE v.item_id = i.id),
  coalesce((SELECT max(e.id) FROM event e WHERE e.item_id = i.id), 0)
FROM item i
LEFT JOIN event s ON s.id = {_LAST.format(steps=_STEPS)}
LEFT JOIN event k ON k.id = (SELECT max(o.id) FROM event o WHERE o.corrects = s.id)
LEFT JOIN event m ON m.id = {_LAST.format(steps=_MOVES)}
WHERE """  # noqa: S608 - our own words
_SET = ", ".join(f"{name} = excluded.{name}" for name in COLUMNS[1:])


def selected(which: str) -> str:
    """Give the query of rows as they follow from events and valuations.

    Parameters
    ----------
    which : str
        Condition on the items, `i`.
    """
    return f"{_SELECTED}{which}"


def written(which: str) -> str:
    """Give the statement that writes rows anew.

    Parameters
    ----------
    which : str
        Condition on the items, `i`.
    """
    return (
        f"INSERT INTO item_now ({', '.join(COLUMNS)}) {selected(which)} "
        f"ON CONFLICT (item_id) DO UPDATE SET {_SET}"
    )


def state_triggers(dialect: str) -> list[str]:
    """Give the statements that keep the rows from now on.

    Parameters
    ----------
    dialect : str
        ``sqlite`` or ``postgresql``.
    """
    return _postgres() if dialect == "postgresql" else _sqlite()


def state_triggers_gone(dialect: str) -> list[str]:
    """Give the statements that take them away again.

    Parameters
    ----------
    dialect : str
        ``sqlite`` or ``postgresql``.
    """
    names = (("event_item_now", "event"), ("valuation_item_now", "valuation"))
    on_tables = (*names, ("item_kind_now", "item"))
    if dialect != "postgresql":
        return [f"DROP TRIGGER {name}" for name, _ in on_tables]
    return [
        *(f"DROP TRIGGER {name} ON {table}" for name, table in on_tables),
        "DROP FUNCTION keep_item_now()",
        "DROP FUNCTION keep_item_kind()",
    ]


def _sqlite() -> list[str]:
    keep = written("i.id = NEW.item_id")
    return [
        f"CREATE TRIGGER event_item_now AFTER INSERT ON event BEGIN {keep}; END",
        f"CREATE TRIGGER valuation_item_now AFTER INSERT ON valuation BEGIN {keep}; END",
        "CREATE TRIGGER item_kind_now AFTER UPDATE OF kind ON item WHEN NEW.kind <> OLD.kind "
        "BEGIN UPDATE item_now SET kind = NEW.kind WHERE item_id = NEW.id; END",
    ]


def _postgres() -> list[str]:
    keep = written("i.id IN (SELECT item_id FROM fresh)")
    # Once for each statement, so that a file of many sales is one piece of work.
    each = (
        "CREATE TRIGGER {name} AFTER INSERT ON {table} REFERENCING NEW TABLE AS fresh "
        "FOR EACH STATEMENT EXECUTE FUNCTION keep_item_now()"
    )
    return [
        "CREATE FUNCTION keep_item_now() RETURNS trigger AS "
        f"$keep$ BEGIN {keep}; RETURN NULL; END $keep$ LANGUAGE plpgsql",
        "CREATE FUNCTION keep_item_kind() RETURNS trigger AS $keep$ BEGIN "
        "UPDATE item_now SET kind = NEW.kind WHERE item_id = NEW.id; RETURN NULL; "
        "END $keep$ LANGUAGE plpgsql",
        each.format(name="event_item_now", table="event"),
        each.format(name="valuation_item_now", table="valuation"),
        "CREATE TRIGGER item_kind_now AFTER UPDATE OF kind ON item FOR EACH ROW "
        "WHEN (NEW.kind <> OLD.kind) EXECUTE FUNCTION keep_item_kind()",
    ]
