"""Values what a device sends, without keeping anything."""

from __future__ import annotations

from resale.web.api.blueprint import api
from resale.web.api.operations import operation
from resale.web.api.readings import entry_of
from resale.web.api.requests import ItemSent, ManySent
from resale.web.api.responses import valuation as valuation_answers
from resale.web.api.serializers import value_of
from resale.web.core.problems import ApiError
from resale.web.core.shop import Shop, current_shop


@api.post("/value")
@operation("read", valuation_answers.Value, body=ItemSent)
def value(body: ItemSent) -> valuation_answers.Value:
    """Value one item. Keeps nothing."""
    shop = current_shop()
    return value_of(shop, entry_of(shop.book, body))


@api.post("/values")
@operation("read", valuation_answers.Values, body=ManySent)
def values(body: ManySent) -> valuation_answers.Values:
    """Value up to 200 items in one call. Keeps nothing.

    The answers stand in the order of the items; one that cannot be read comes back with its
    faults, and the others with their values.
    """
    shop = current_shop()
    return valuation_answers.Values(
        results=[_result(shop, place, sent) for place, sent in enumerate(body.items)]
    )


def _result(shop: Shop, place: int, sent: ItemSent) -> valuation_answers.Result:
    try:
        return valuation_answers.Result(value=value_of(shop, entry_of(shop.book, sent)))
    except ApiError as fault:
        begin = f"#/items/{place}"
        moved = [
            one.model_copy(update={"pointer": f"{begin}{(one.pointer or '#')[1:]}"})
            for one in fault.faults
        ]
        return valuation_answers.Result(errors=moved)
