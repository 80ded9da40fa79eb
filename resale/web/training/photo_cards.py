"""Cards from the shop's own photos: those that a lead found good for teaching."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import SystemRandom

from resale.errors import ReadingError
from resale.storage.items.store import NotSavedError
from resale.storage.photos.photos import photo_by_id, photos_for_teaching
from resale.training.practice.photo_cards import FAMILY, PhotoTaught, photo_drills
from resale.training.practice.schedule import Drill
from resale.training.practice.session import Planned
from resale.web.core.shop import Shop
from resale.web.training.cards import DrillQuestion, drill_question, photo_question


class PhotoGoneError(ReadingError):
    """A photo was removed, or teaches something else, since the session was chosen."""


def photos_taught(shop: Shop) -> tuple[PhotoTaught, ...]:
    """Photos with their right answers."""
    return tuple(
        PhotoTaught(one.id, one.kind, one.signal, one.option)
        for one in photos_for_teaching(shop.records)
    )


def drills_on_photos(shop: Shop) -> tuple[Drill, ...]:
    """What can be practised on photos."""
    return photo_drills(shop.book, photos_taught(shop))


def with_photos(shop: Shop, plan: Sequence[Planned]) -> tuple[Planned, ...]:
    """Give each place that asks about a photo one of its sign, the same one twice only if need be.

    Its number takes the place of the seed, so that the card stays the same when photos are added.

    Parameters
    ----------
    shop : Shop
        For the photos that teach now.
    plan : sequence of Planned
        Drills of a session in their order.
    """
    if not any(one.drill.family == FAMILY for one in plan):
        return tuple(plan)
    dice, known = SystemRandom(), drills_by_photo(shop)
    left: dict[str, list[int]] = {}

    def placed(one: Planned) -> Planned:
        if one.drill.family != FAMILY:
            return one
        key = one.drill.key
        if not left.get(key):
            left[key] = [photo for photo, drill in known.items() if drill == key]
            dice.shuffle(left[key])
        return replace(one, seed=left[key].pop())

    return tuple(map(placed, plan))


def drills_by_photo(shop: Shop) -> dict[int, str]:
    """Key of the drill that each photo belongs to."""
    many = ((one.id, photo_drills(shop.book, [one])) for one in photos_taught(shop))
    return {photo: drills[0].key for photo, drills in many if drills}


def question_for(shop: Shop, planned: Planned) -> DrillQuestion:
    """Make the card of a place in a session, from a photo where it asks about one.

    Parameters
    ----------
    shop : Shop
    planned : Planned
        A place in a session.

    Raises
    ------
    PhotoGoneError
        If the photo was removed, or no longer teaches.
    """
    if planned.drill.family != FAMILY:
        return drill_question(shop.book, planned)
    gone = PhotoGoneError("the photo of this card is no longer there", remedy="go on to the next")
    try:
        photo = photo_by_id(shop.records, planned.seed)
    except NotSavedError:
        raise gone from None
    if photo.reviewed != "teaching" or photo.signal != planned.drill.about:
        raise gone
    taught = PhotoTaught(photo.id, photo.kind, photo.signal, photo.option)
    return photo_question(shop.book, taught, photo.width, photo.height)
