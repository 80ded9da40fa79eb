"""What of a form may be sent again by a button on the page that says it could not be written.

The page holds what it sends again, so this is a list of what may be in it, and not of what may not:
a field that somebody adds one day is typed anew, and no password or token gets into a page.
"""

from __future__ import annotations

from flask import request

# When to ask again where the records are away: a server that was started anew is back by then.
AWAY_SECONDS = 10
# The bench's own: options, measures, gauges and flat measures, by sign.
_BY_SIGN = ("s-", "m-", "g-", "f-")
_FIELDS = frozenset(
    {
        "about",
        "amount",
        "answer",
        "begin",
        "by",
        "care",
        "cm",
        "day",
        "end",
        "first",
        "hold",
        "hold-note",
        "item",
        "items",
        "key",
        "kind",
        "label",
        "level",
        "mistake",
        "note",
        "number",
        "option",
        "pick",
        "price",
        "reason",
        "shown",
        "signal",
        "size",
        "stock",
        "tape",
        "then",
        "tier",
        "today",
        "warned",
        "what",
        "where",
        "why",
    }
)
# Names are typed here, and so may a password be that slipped into the wrong field.
_DOORS = frozenset({"sign_in", "second_step", "own_steps", "devices"})
# The name of somebody who brings things, or of somebody new in the team.
_NAMED = frozenset({"consignors", "team"})


def fields_to_send_again() -> list[tuple[str, str]]:
    """What stood in the form that was sent, as far as it may stand in a page."""
    if request.method != "POST" or request.files or request.blueprint in _DOORS:
        # A file cannot be sent again by a page; it is picked anew.
        return []
    named = {"name", "role"} if request.blueprint in _NAMED else set()
    return [
        (name, text)
        for name, text in request.form.items(multi=True)
        if name in _FIELDS or name in named or name.startswith(_BY_SIGN)
    ]


def address_for_the_log() -> str:
    """The address that was asked for, by its rule: an entry link in a log is good until used."""
    rule = request.url_rule
    return f"{request.method} {rule.rule if rule else 'an address of nobody'}"
