"""The invented shop's people: their second looks, and what they answered at the Drill."""

from __future__ import annotations

import csv
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from resale.config.paths import shipped
from resale.storage.db.writing import writing
from resale.storage.people.drill_store import NewAnswer, has_answers, record_answers
from resale.storage.people.introductions import Introduction, add_introduction
from resale.storage.people.people import Person, Role, add_person, has_owner, people
from resale.storage.people.second_looks import NewLook, looks_count, save_looks
from resale.training.practice.drawn_drills import drawn_drills
from resale.web.core.shop import Shop

LOOKS, ANSWERS = "second_looks.csv", "drill_answers.csv"
OWNER, LEAD = "Perpetua", "Orla"
STATED = timedelta(days=84)
_NOT_SIGNALS = {"item", "kind", "sorter", "role", "days_ago", "seconds"}
ORDERS = "introductions.csv"


def fill_demo_drill(shop: Shop) -> None:
    """Lay in the invented people, what they read twice and what they practised, once."""
    if not has_owner(shop.records):
        add_person(shop.records, OWNER, "owner", shop.now())
    if not looks_count(shop.records):
        _lay_in_looks(shop)
    _lay_in_answers(shop)


def _lay_in_looks(shop: Shop) -> None:
    rows = _rows(LOOKS)
    ids = {}
    for row in rows:
        if row["sorter"] not in ids:
            role: Role = "lead" if row["role"] == "lead" else "sorter"
            ids[row["sorter"]] = add_person(shop.records, row["sorter"], role, shop.now()).id
    by_day: dict[int, list[NewLook]] = {}
    for row in rows:
        by_day.setdefault(int(row["days_ago"]), []).append(
            NewLook(
                f"invented/{row['item']}/{row['sorter']}",
                row["item"],
                ids[row["sorter"]],
                {key: cell for key, cell in row.items() if cell and key not in _NOT_SIGNALS},
                {},
                float(row["seconds"]),
            )
        )
    now = shop.now()
    with writing(shop.records) as session:
        for days in sorted(by_day, reverse=True):
            save_looks(session, by_day[days], now - timedelta(days=days))
        _lay_in_orders(session, ids, now)


def _lay_in_orders(session: Session, ids: dict[str, int], now: datetime) -> None:
    """Lay in the orders in which signs were drilled, as if stated before the first reading."""
    starts: dict[str, dict[str, date]] = {}
    for row in _rows(ORDERS):
        day = (now - timedelta(days=int(row["days_ago"]))).astimezone().date()
        starts.setdefault(row["sorter"], {})[row["signal"]] = day
    for sorter, order in starts.items():
        stated = Introduction(ids[sorter], order, LEAD, now - STATED)
        add_introduction(session, stated)


def _lay_in_answers(shop: Shop) -> None:
    """Count back from now, so that what is due and what is fresh looks as in any shop."""
    new_here = {
        one.name: one for one in people(shop.records) if not has_answers(shop.records, one.id)
    }
    now = shop.now()
    many = [
        _answer(place, row, new_here[row["sorter"]], now)
        for place, row in enumerate(_rows(ANSWERS))
        if row["sorter"] in new_here
    ]
    record_answers(shop.records, many)


def _answer(
    place: int, row: dict[str, str], person: Person, now: datetime
) -> tuple[NewAnswer, datetime]:
    drills = {(one.family, one.level): one for one in drawn_drills()}
    new = NewAnswer(
        f"invented/{row['sorter']}/{row['session']}/{place}",
        person.id,
        drills[row["family"], int(row["level"])],
        int(row["seed"]),
        tuple(row["signals"].split()),
        row["answer"],
        row["truth"],
        row["right"] == "yes",
        float(row["seconds"]),
    )
    return new, now - timedelta(minutes=int(row["minutes_ago"]))


def _rows(name: str) -> list[dict[str, str]]:
    with (shipped("demo_data") / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
