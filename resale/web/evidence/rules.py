"""The Rule book: what every answer is taken to do to a price, and changing that with eyes open."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from flask import Blueprint, current_app, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from pydantic import BaseModel
from werkzeug.exceptions import NotFound

from resale.errors import RuleBookError
from resale.garments.rulebook.edits import Edit
from resale.garments.rulebook.overlay import RuleChange
from resale.garments.rulebook.rule_book import Kind, checked
from resale.garments.rulebook.signals import Signal
from resale.services.items.entry import new_key
from resale.services.prices.change_rules import change_rules
from resale.services.prices.try_rules import Draft, edits_back, try_rules
from resale.storage.models.rule_changes import ChangedMeanwhileError, changes_of
from resale.web.access.current_user import me, my_name
from resale.web.core.jobs import Job, Step, begin, works
from resale.web.core.shop import NoSuchKindError, Shop, current_shop, renew_shop
from resale.web.evidence.models import begin_fit, this_app
from resale.web.evidence.rule_form import edits_from_form, shown

screen = Blueprint("rules", __name__, url_prefix="/rules")
_DRAFTS = "resale.rule_drafts"
_KEPT = 20


class Sketch(BaseModel):
    """A change as any process of the shop can work out again what it would do.

    Attributes
    ----------
    after : int or None
        The newest change that the shop had when it was drawn up; None before that is known.
    """

    edits: tuple[Edit, ...]
    why: str = ""
    after: int | None = None


@screen.get("")
def kinds() -> ResponseReturnValue:
    """Pick a kind; see who changed what."""
    shop = current_shop()
    changes = changes_of(shop.records)
    return render_template(
        "evidence/rules/kinds.html", changes=changes, behind=_behind(shop), shown=shown
    )


@screen.get("/<kind>")
def kind(kind: str) -> ResponseReturnValue:
    """Show the signals of a kind, in the order of the hand."""
    shop = current_shop()
    chosen = _kind(shop, kind)
    return render_template(
        "evidence/rules/kind.html",
        kind=chosen,
        zones=shop.changed.zone_names,
        learned=_learned(shop, kind),
    )


@screen.get("/<kind>/<signal>")
def signal(kind: str, signal: str) -> ResponseReturnValue:
    """Show the answers of a signal, to be changed."""
    return _signal_page(current_shop(), kind, signal)


@screen.post("/<kind>/<signal>")
def consider(kind: str, signal: str) -> ResponseReturnValue:
    """Work out what a change would do, before anything is saved."""
    shop = current_shop()
    chosen = _kind(shop, kind)
    try:
        edits = edits_from_form(chosen, _signal(chosen, signal), request.form)
    except RuleBookError as fault:
        return make_response(_signal_page(shop, kind, signal, fault.sentence), 422)
    return _consider(shop, edits, url_for("rules.signal", kind=kind, signal=signal))


@screen.post("/back/<int:place>")
def take_back(place: int) -> ResponseReturnValue:
    """Work out what taking a change back would do."""
    shop = current_shop()
    changes = changes_of(shop.records)
    if not 1 <= place <= len(changes):
        raise NotFound
    return _consider(shop, edits_back(changes, place - 1), url_for("rules.kinds"))


@screen.get("/change/<key>")
def draft(key: str) -> ResponseReturnValue:
    """Show what a change would do, and ask why."""
    considered = _drafts().get(key)
    if considered is None:
        # Another process of the shop worked it out.
        return _work_out(current_shop(), key, _sketch(key), url_for("rules.kinds"))
    return _draft_page(key, considered)


@screen.post("/change/<key>")
def save(key: str) -> ResponseReturnValue:
    """Save a change; learned prices are learned again by the changed book."""
    shop, considered = current_shop(), _draft_at_hand(key)
    why = " ".join(request.form.get("why", "").split())
    try:
        changes = [_change(shop, edit, why) for edit in considered.edits]
        change_rules(shop, me(), changes, considered.after, shop.now())
    except ChangedMeanwhileError as fault:
        return make_response(_draft_page(key, considered, fault.sentence, fault.theirs), 409)
    except RuleBookError as fault:
        return make_response(_draft_page(key, considered, fault.sentence), 422)
    _drafts().pop(key, None)
    works().forget(key)
    renew_shop(this_app())
    if considered.by_sales:
        return begin_fit(url_for("rules.kinds"), f"After a change of the rules: {why}")
    return redirect(url_for("rules.kinds"), 303)


@screen.post("/change/<key>/again")
def work_out_again(key: str) -> ResponseReturnValue:
    """Work the same change out on top of what somebody else changed meanwhile."""
    back = url_for("rules.draft", key=key)
    edits = _sketch(key).edits
    return _consider(current_shop(), edits, back, request.form.get("why", "")[:240])


def _draft_page(
    key: str, draft: Draft, fault: str = "", theirs: tuple[RuleChange, ...] = ()
) -> str:
    return render_template(
        "evidence/rules/draft.html",
        key=key,
        draft=draft,
        shown=shown,
        fault=fault,
        theirs=theirs,
        why=request.form.get("why", draft.why),
    )


def _consider(shop: Shop, edits: tuple[Edit, ...], back: str, why: str = "") -> ResponseReturnValue:
    return _work_out(shop, new_key(), Sketch(edits=edits, why=why), back)


def _work_out(shop: Shop, key: str, sketch: Sketch, back: str) -> ResponseReturnValue:
    drafts = _drafts()
    job = Job(key, "What the change would do", url_for("rules.draft", key=key), back)

    def work(step: Step) -> None:
        drafts[key] = considered = _considered(shop, sketch, step)
        job.kept = sketch.model_copy(update={"after": considered.after}).model_dump_json()
        for old in list(drafts)[:-_KEPT]:
            drafts.pop(old, None)

    return begin(job, work)


def _considered(shop: Shop, sketch: Sketch, step: Step) -> Draft:
    found = replace(try_rules(shop, sketch.edits, step), why=sketch.why)
    return found if sketch.after is None else replace(found, after=sketch.after)


def _change(shop: Shop, edit: Edit, why: str) -> RuleChange:
    if not 1 <= len(why) <= 240:
        raise RuleBookError(f"why is {'too long' if why else 'missing'}", remedy="write why")
    raw = {**edit.model_dump(), "who": my_name(), "why": why, "when": shop.here().date()}
    return checked(RuleChange, raw, edit.place)


def _signal_page(shop: Shop, kind: str, signal: str, fault: str = "") -> str:
    chosen = _kind(shop, kind)
    also = [k.text.plural for k in shop.changed.kinds.values() if signal in k.by_id]
    return render_template(
        "evidence/rules/signal.html",
        kind=chosen,
        signal=_signal(chosen, signal),
        learned=_learned(shop, kind),
        also=also,
        shown=shown,
        typed=request.form,
        fault=fault,
    )


def _learned(shop: Shop, kind: str) -> dict[tuple[str, str], float]:
    """What the prices in use make of each answer, where sales changed it."""
    table = shop.valuer.model.tables[kind]
    by_book, besides = table.alone
    factors = np.exp(by_book + besides)
    return {
        (one.id, option.id): float(factors[table.starts[place] + at])
        for place, one in enumerate(shop.book.kinds[kind].signals)
        for at, option in enumerate(one.options)
        if abs(table.sales[table.starts[place] + at]) > 1e-6
    }


def _kind(shop: Shop, kind_id: str) -> Kind:
    """The kind with all changes, saved ones that prices do not follow yet among them."""
    shop.valued_kind(kind_id)
    return shop.changed.kinds[kind_id]


def _signal(kind: Kind, signal_id: str) -> Signal:
    found = kind.by_id.get(signal_id)
    if found is None:
        raise NoSuchKindError(
            f"{kind.text.plural} have no sign {signal_id[:40]!r}", remedy="pick one of the list"
        )
    return found


def _behind(shop: Shop) -> bool:
    return shop.book.fingerprint != shop.changed.fingerprint


def _drafts() -> dict[str, Draft]:
    validation: dict[str, Any] = current_app.extensions.setdefault(_DRAFTS, {})
    return validation


def _sketch(key: str) -> Sketch:
    """What was drawn up, also where another process worked it out."""
    job = works().find(key)
    if job is None or not job.kept:
        raise RuleBookError(
            "this change is not here any more", where="Rule book", remedy="write it again"
        )
    return Sketch.model_validate_json(job.kept)


def _draft_at_hand(key: str) -> Draft:
    found = _drafts().get(key)
    if found is None:
        return _considered(current_shop(), _sketch(key), lambda done, of, words: None)
    return found
