"""Turns what the shop knows into what the API answers."""

from __future__ import annotations

from resale.pricing.valuation.next_check import Check
from resale.pricing.valuation.valuation import Valuation
from resale.safety import holds
from resale.services.items.entry import Entry
from resale.services.standing.fresh import look_at
from resale.storage.items.store import SavedValuation
from resale.web.api.responses import shop as shop_answers
from resale.web.api.responses import valuation as valuation_answers
from resale.web.core.shop import Shop
from resale.web.core.wording import band_words, next_words, route_words, support_words


def value_of(shop: Shop, entry: Entry) -> valuation_answers.Value:
    """Value what was sent, and say how it would stand.

    Parameters
    ----------
    shop : Shop
    entry : Entry
        What was sent, read.
    """
    looked = look_at(shop, entry, shop.here().date())
    book = shop_answers.Book(version=shop.book.version, fingerprint=shop.book.fingerprint)
    standing = looked.standing
    return valuation_answers.Value(
        **_parts(shop, looked.valued, book, shop.model_id),
        ticket_minor=standing.ticket,
        route=standing.route,
        route_words=route_words(looked.valued, shop.money, standing).now,
        reason=standing.reason,
        holds=[hold(one) for one in standing.holds],
        look_first=[
            valuation_answers.LookFirst(id=one, name=name) for one, name in entry.unlooked.items()
        ],
        next_check=_check(shop, looked.next_check),
        left_out=list(entry.left_out),
    )


def stored_valuation(shop: Shop, saved: SavedValuation) -> valuation_answers.StoredValuation:
    """Say a saved valuation as it was made.

    Parameters
    ----------
    shop : Shop
        For its money and its names of tiers.
    saved : SavedValuation
        A valuation with the day and the model it was made by.
    """
    book = shop_answers.Book(version=saved.book_version, fingerprint=saved.book_fingerprint)
    return valuation_answers.StoredValuation(**_parts(shop, saved.valued, book, saved.model_id))


def hold(one: holds.Hold) -> valuation_answers.Hold:
    """Say a hold in full: what to do now comes before everything."""
    return valuation_answers.Hold(
        id=one.id,
        name=one.name,
        why=one.why,
        do_now=list(one.do_now),
        never=list(one.never),
        ask=[ask.sentence for ask in one.ask],
        clear=list(one.clear),
        days=one.days,
        standing=one.standing,
    )


def _parts(shop: Shop, valued: Valuation, book: shop_answers.Book, model: str) -> dict[str, object]:
    money = shop.money
    return {
        "kind": valued.kind,
        "kind_name": valued.kind_name,
        "label": valued.label,
        "currency": valued.currency,
        "decimals": valued.decimals,
        "invented": shop.settings.invented,
        "estimate_minor": valued.estimate,
        "band": valuation_answers.Band(
            low_minor=valued.low,
            high_minor=None if valued.high < 0 else valued.high,
            coverage=valued.coverage,
            words=band_words(valued, money),
        ),
        "rests_on": valuation_answers.RestsOn(
            sales_of_kind=valued.sold,
            sales_of_all_kinds=valued.all_sold,
            kind_alone=valued.own_band,
            words=support_words(valued, money),
        ),
        "rounded_minor": valued.ticket,
        "mean_minor": valued.mean,
        "tier": valued.tier,
        "tier_name": valued.tier_name,
        "tiers": [valuation_answers.Tier(**one.model_dump()) for one in valued.chances],
        "below_least_ticket": valued.below_least_ticket,
        "anchor_minor": valued.anchor,
        "level": valuation_answers.Part(factor=valued.level_factor, minor=valued.level_money),
        "contributions": [
            valuation_answers.Share(
                signal=row.signal,
                name=row.name,
                option=row.option,
                reason=row.reason,
                rule=valuation_answers.Part(factor=row.rule_factor, minor=row.rule_money),
                sales=valuation_answers.Part(factor=row.sales_factor, minor=row.sales_money),
            )
            for row in valued.contributions
        ],
        "gates": [valuation_answers.Gate(**one.model_dump()) for one in valued.gates],
        "looked": valued.looked,
        "rule_book": book,
        "model": model,
    }


def _check(shop: Shop, best: Check | None) -> valuation_answers.Check | None:
    if best is None:
        return None
    return valuation_answers.Check(
        signal=best.signal.id,
        name=best.signal.name,
        hands=best.signal.hands,
        seconds=best.seconds,
        move_minor=round(best.move * 10**shop.money.decimals),
        words=next_words(best, shop.money),
    )
