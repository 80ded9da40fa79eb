"""Triggers by which the database itself refuses to change or remove a row."""

from __future__ import annotations

_SQLITE = """
CREATE TRIGGER {table}_never_{past} BEFORE {order} ON "{table}"
BEGIN SELECT RAISE(ABORT, '{what} never {past}'); END
"""
_POSTGRES_FUNCTION = """
CREATE FUNCTION {table}_never_{past}() RETURNS trigger AS
'BEGIN RAISE EXCEPTION ''{what} never {past}''; END' LANGUAGE plpgsql
"""
_POSTGRES_TRIGGER = """
CREATE TRIGGER {table}_never_{past} BEFORE {order} ON "{table}"
FOR EACH ROW EXECUTE FUNCTION {table}_never_{past}()
"""
# Emptying a whole table is an order of its own there, of which rows are told nothing.
_POSTGRES_WHOLE = """
CREATE TRIGGER {table}_never_empties BEFORE TRUNCATE ON "{table}"
FOR EACH STATEMENT EXECUTE FUNCTION {table}_never_goes()
"""
_ORDERS = (("UPDATE", "changes"), ("DELETE", "goes"))


def triggers(dialect: str, table: str, what: str) -> list[str]:
    """Give the statements that make a table one that is only ever added to.

    Parameters
    ----------
    dialect : str
        ``sqlite`` or ``postgresql``.
    what : str
        What a row is, for the message: ``a stored valuation``.
    """
    large = dialect == "postgresql"
    wanted = (_POSTGRES_FUNCTION, _POSTGRES_TRIGGER) if large else (_SQLITE,)
    each_row = [
        text.format(table=table, what=what, order=order, past=past)
        for order, past in _ORDERS
        for text in wanted
    ]
    return [*each_row, _POSTGRES_WHOLE.format(table=table)] if large else each_row


def functions_gone(dialect: str, table: str) -> list[str]:
    """Give the statements that clear up behind a table that was dropped.

    SQLite drops triggers with their table; PostgreSQL keeps the functions that they called.

    Parameters
    ----------
    dialect : str
        ``sqlite`` or ``postgresql``.
    table : str

    Returns
    -------
    list of str
        SQL; none for SQLite.
    """
    if dialect != "postgresql":
        return []
    return [f"DROP FUNCTION {table}_never_{past}()" for _, past in _ORDERS]
