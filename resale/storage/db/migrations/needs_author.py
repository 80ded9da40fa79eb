"""Triggers by which the database itself refuses a row that nobody is named for."""

from __future__ import annotations

_SQLITE = """
CREATE TRIGGER {table}_needs_author BEFORE INSERT ON "{table}" WHEN trim(NEW.by_whom) = ''
BEGIN SELECT RAISE(ABORT, '{what} needs the name of who wrote it'); END
"""
_POSTGRES_FUNCTION = """
CREATE FUNCTION {table}_needs_author() RETURNS trigger AS
'BEGIN IF trim(NEW.by_whom) = '''' THEN
RAISE EXCEPTION ''{what} needs the name of who wrote it''; END IF; RETURN NEW; END'
LANGUAGE plpgsql
"""
_POSTGRES_TRIGGER = """
CREATE TRIGGER {table}_needs_author BEFORE INSERT ON "{table}"
FOR EACH ROW EXECUTE FUNCTION {table}_needs_author()
"""


def author_triggers(dialect: str, table: str, what: str) -> list[str]:
    """Give the statements that make every new row of a table name its author.

    Rows of before, which knew nobody, stay as they are.

    Parameters
    ----------
    dialect : str
        ``sqlite`` or ``postgresql``.
    what : str
        What a row is, for the message: ``an event``.
    """
    large = dialect == "postgresql"
    wanted = (_POSTGRES_FUNCTION, _POSTGRES_TRIGGER) if large else (_SQLITE,)
    return [text.format(table=table, what=what) for text in wanted]


def author_triggers_gone(dialect: str, table: str) -> list[str]:
    """Give the statements that take them away again.

    Parameters
    ----------
    dialect : str
        ``sqlite`` or ``postgresql``.
    table : str

    Returns
    -------
    list of str
        SQL.
    """
    if dialect != "postgresql":
        return [f"DROP TRIGGER {table}_needs_author"]
    return [
        f'DROP TRIGGER {table}_needs_author ON "{table}"',
        f"DROP FUNCTION {table}_needs_author()",
    ]
