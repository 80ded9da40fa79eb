"""Settings: every one with its meaning, a look at what another value would do, and a save."""

from __future__ import annotations

import os
from dataclasses import dataclass

from flask import Blueprint, abort, current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.utils import redirect

from resale.config.reference import SettingRow, grouped
from resale.config.settings import FILE_NAME, PREFIX, Settings, choices_of, named_in
from resale.config.text_forms import as_text, with_typed
from resale.errors import SettingError
from resale.pricing.evaluation.terms_what_if import TermsOutlook
from resale.services.settings.change_settings import Changed, change_settings, try_settings
from resale.services.settings.try_terms import try_terms
from resale.storage.items.on_hand_readings import on_hand_readings
from resale.web.access.current_user import me
from resale.web.core.shop import Shop, current_shop, renew_shop

screen = Blueprint("settings", __name__, url_prefix="/settings")

SET, WAS = "set-", "was-"
SECRETS = frozenset({"records_url"})


@dataclass(frozen=True)
class Line:
    """One setting as the screen shows it.

    Attributes
    ----------
    now, typed, default : str
        As it is, as it stands in the form, and as it is where nobody set it.
    fixed : str
        Why it cannot be changed here; empty where it can.
    """

    row: SettingRow
    now: str
    typed: str
    default: str
    fixed: str
    choices: tuple[str, ...]


@screen.get("")
def listed() -> ResponseReturnValue:
    """List every setting as it is."""
    settings = current_shop().settings
    groups = [(id, head, [_line(row, settings) for row in rows]) for id, head, rows in grouped()]
    changed = request.args.getlist("changed")
    known = [name for name in changed if name in Settings.model_fields]
    return render_template("admin/settings.html", groups=groups, file=FILE_NAME, changed=known)


@screen.get("/<group>")
def group(group: str) -> ResponseReturnValue:
    """Show the form of one group."""
    return _form(group)


@screen.post("/<group>/look")
def look(group: str) -> ResponseReturnValue:
    """Show what the values in the form would do, and write nothing."""
    shop = current_shop()
    try:
        after, lines = try_settings(shop.settings, _values(shop, group))
    except SettingError as fault:
        return _form(group, fault=fault.sentence), 422
    moves = {row.name for row in _rows(group) if row.moves_prices}
    told = try_terms(shop, after) if moves & {line.name for line in lines} else None
    return _form(group, lines=lines, told=told)


@screen.post("/<group>")
def save(group: str) -> ResponseReturnValue:
    """Write the values in the form down; they hold from now on."""
    shop = current_shop()
    try:
        values = _values(shop, group)
        after, lines = change_settings(shop.records, shop.settings, me(), values, shop.now())
    except SettingError as fault:
        return _form(group, fault=fault.sentence), 422
    if lines:
        renew_shop(current_app, after)
    changed = [line.name for line in lines]
    return redirect(url_for("settings.listed", changed=changed, _anchor=group), 303)


def _rows(group: str) -> list[SettingRow]:
    for id, _, rows in grouped():
        if id == group:
            return rows
    abort(404)


def _values(shop: Shop, group: str) -> dict[str, object]:
    """Read what somebody changed in the form, unless another changed the same meanwhile."""
    settings, typed = shop.settings, {}
    for row in _rows(group):
        text, was = (_sent(kind + row.name) for kind in (SET, WAS))
        # What stands as the form brought it is not meant, whatever became of it since.
        if text is not None and text != was and not _line(row, settings).fixed:
            typed[row.name] = text
    values = with_typed(settings, typed)
    for name in values:
        now = as_text(getattr(settings, name))
        if _sent(WAS + name) not in (None, now):
            raise SettingError(
                f"somebody made {name} {now!r} meanwhile; nothing was changed",
                remedy="look at it, and write yours again if it is still wanted",
            )
    return values


def _sent(field: str) -> str | None:
    """Give a field of the form with the line ends that it was given."""
    text = request.form.get(field)
    return text if text is None else text.replace("\r\n", "\n").strip()


def _form(
    group: str,
    *,
    fault: str = "",
    lines: list[Changed] | None = None,
    told: TermsOutlook | None = None,
) -> str:
    shop, rows = current_shop(), _rows(group)
    numbers = on_hand_readings(shop.records, shop.book)[0] if told else ()
    return render_template(
        "admin/setting_group.html",
        group=group,
        heading=next(head for id, head, _ in grouped() if id == group),
        lines=[_line(row, shop.settings) for row in rows],
        fault=fault,
        changes=lines,
        told=told,
        numbers=numbers,
    )


def _line(row: SettingRow, settings: Settings) -> Line:
    value = getattr(settings, row.name)
    secret = row.name in SECRETS and value.get_secret_value()
    now = "set, and not shown" if secret else "" if row.name in SECRETS else as_text(value)
    fixed = "" if row.on_screen else f"Set in {FILE_NAME} alone."
    if row.name in named_in(os.environ):
        fixed = f"Set by {PREFIX}{row.name.upper()} in the environment."
    typed = request.form.get(SET + row.name, now)
    default = as_text(Settings.model_fields[row.name].default)
    plain = row.default if row.name in {"data_folder", *SECRETS} else default
    return Line(row, now, typed, plain, fixed, choices_of(row.name))
