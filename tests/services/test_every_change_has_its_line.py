"""Every address that changes something writes one line of who did it, with its row or neither."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from io import BytesIO
from pathlib import Path

import pyotp
import pytest
from a_save import a_save, a_valued
from bench_forms import csrf_token, hidden_fields, new_form, words_of
from camera import shot
from flask import Flask
from flask.testing import FlaskClient
from ledger_shop import LedgerShop
from looked_over import looked_over
from signed_in import signed_in
from sqlalchemy import Engine, event, inspect
from writing import save_item

from resale.services.training.calibration import quarter_of
from resale.storage.people.audit_log import audit_entries
from resale.storage.people.calibration import add_calibration, calibrations
from resale.storage.people.one_time_codes import unproved_seed
from resale.storage.people.passwords import set_password
from resale.storage.people.people import Person, Role, add_person, person_named
from resale.storage.people.second_looks import NewLook, save_looks
from resale.storage.people.second_steps import NewPasskey, second_steps
from resale.web import create_app
from resale.web.access import passkeys
from resale.web.access.permissions import BY_ITS_SERVICE, PERMISSIONS
from resale.web.core.jobs import EXTENSION as WORKS
from resale.web.core.shop import Shop

GOOD, BETTER = "linen buckle orchard", "walnut harbour spindle"
LOG = "deed"
LEAD_SAYS = {"pilling": "grade_5", "fading": "grade_5", "odour": "none", "front_canvas": "glued"}
SLIPS = {"pilling": "grade_4", "fading": "grade_4", "odour": "faint", "front_canvas": "soft_empty"}
READERS: tuple[tuple[str, Role], ...] = (("Lindiwe", "lead"), ("Sabas", "sorter"))
# A line for each thing, or in two shops; tried by `test_stock_screen.py`, `test_move_item.py`.
MANY_AT_ONCE = {"stock_files.load_all", "stock_files.people", "chain.move"}
_WRITES = re.compile(r'\s*(?:INSERT INTO|UPDATE|DELETE FROM) "?(\w+)')
# What is noted on the way of every request, whatever is asked.
ON_THE_WAY = frozenset({"sitting"})


class GoneError(Exception):
    """The records went away at the very moment of the commit."""


@contextmanager
def committed(records: Engine, *, breaks: bool) -> Iterator[list[set[str]]]:
    """Tables that each committed transaction wrote to; on demand those with a line are broken."""
    found: list[set[str]] = []

    def wrote(connection: object, _: object, statement: str, *__: object) -> None:
        if table := _WRITES.match(statement):
            connection.info.setdefault("wrote", set()).add(table[1])  # type: ignore[attr-defined]

    def begins(connection: object) -> None:
        connection.info["wrote"] = set()  # type: ignore[attr-defined]

    def ends(connection: object) -> None:
        tables = connection.info.get("wrote", set())  # type: ignore[attr-defined]
        if breaks and LOG in tables:
            raise GoneError
        if tables:
            found.append(tables)

    listeners = (("before_cursor_execute", wrote), ("begin", begins), ("commit", ends))
    for name, listener in listeners:
        event.listen(records, name, listener)
    try:
        yield found
    finally:
        for name, listener in listeners:
            event.remove(records, name, listener)


@cache
def tables_of(records: Engine) -> list[str]:
    """Names of the tables, read once: nothing here changes what tables there are."""
    return sorted(set(inspect(records).get_table_names()) - ON_THE_WAY)


def everything(records: Engine) -> dict[str, list[str]]:
    """Every row of every table, but what is noted on the way."""
    with records.connect() as at:
        return {
            name: sorted(map(repr, at.exec_driver_sql(f'SELECT * FROM "{name}"')))  # noqa: S608
            for name in tables_of(records)
        }


@dataclass
class Changing:
    """A shop in which one thing after another is changed, by whoever may."""

    app: Flask
    tried: set[str]

    @property
    def shop(self) -> Shop:
        found: Shop = self.app.extensions["resale"]
        return found

    def user(self, role: str) -> FlaskClient:
        return signed_in(self.app, role)  # type: ignore[arg-type]

    def token(self, client: FlaskClient) -> dict[str, str]:
        return {"csrf_token": csrf_token(client)}

    def change(
        self,
        endpoint: str,
        path: str,
        *tables: str,
        by: str = "owner",
        send: Callable[[FlaskClient], object] | None = None,
        **fields: object,
    ) -> None:
        """Send a form whose commit breaks, then once more: nothing first, then row and line."""
        assert PERMISSIONS[endpoint].written_down == BY_ITS_SERVICE
        self.tried.add(endpoint)
        records = self.shop.records
        for breaks in (True, False):
            client = self.user(by)
            data = {**fields, **self.token(client)}
            before = everything(records) if breaks else {}
            lines = len(audit_entries(records))
            with committed(records, breaks=breaks) as transactions, suppress(GoneError):
                if send:
                    send(client)
                else:
                    sent = {
                        name: (BytesIO(one[0]), one[1]) if isinstance(one, tuple) else one
                        for name, one in data.items()
                    }
                    answer = client.post(path, data=sent)
                    told = (endpoint, words_of(answer)[150:])
                    assert breaks or answer.status_code in (200, 303), told
                self.app.extensions[WORKS].wait()
            if breaks:
                assert everything(records) == before, endpoint
        now = audit_entries(records)
        added = now[: len(now) - lines]
        assert len(added) == 1, (endpoint, added)
        (whole,) = (one for one in transactions if LOG in one)
        assert whole >= {LOG, *tables}, (endpoint, whole)


@pytest.fixture
def changing(tmp_path: Path, empty_records: Path) -> Changing:
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / empty_records.name).write_bytes(empty_records.read_bytes())
    app = create_app(folder, RATELIMIT_ENABLED=False)
    app.config["PROPAGATE_EXCEPTIONS"] = True
    one = Changing(app, set())
    for name, role in (("Ottoline", "owner"), ("Leopold", "lead"), ("Sunniva", "sorter")):
        add_person(one.shop.records, name, role, one.shop.now())  # type: ignore[arg-type]
    return one


def test_every_change_writes_one_line_with_its_row_or_neither(
    changing: Changing, monkeypatch: pytest.MonkeyPatch
) -> None:
    items(changing)
    holds(changing)
    rail(changing)
    consignors(changing)
    accounts(changing)
    labels_and_rates(changing)
    photos(changing)
    training(changing)
    prices(changing)
    rules(changing)
    till(changing)
    later_on_the_rail(changing, monkeypatch)
    devices_and_settings(changing)
    team(changing)
    own_doors(changing, monkeypatch)
    copies(changing)
    quiet_days(changing)
    every = {name for name, one in PERMISSIONS.items() if one.written_down == BY_ITS_SERVICE}
    assert every - changing.tried == MANY_AT_ONCE


def saved(one: Changing, key: str, **signs: str) -> dict[str, str]:
    chosen = {f"s-{signal}": option for signal, option in signs.items()}
    if key == "0":
        chosen["label"] = "Harrowmere"
    fields = new_form(one.user("sorter"))
    return {**fields, **looked_over("jacket", signs), **chosen, "key": key * 16}


def items(one: Changing) -> None:
    """Eight things are saved; the first is put out, sold, and its sale corrected."""
    for key in "abcdef01":
        one.change("bench.save", "/bench/jacket/save", "item", "event", **saved(one, key))
    out = {"what": "put_out", "day": "", "amount": "25", "key": "put"}
    one.change("ledger.happened", "/ledger/item/Q-00001", "event", by="sorter", **out)
    sold = {"what": "sold", "day": "", "amount": "25", "key": "sold"}
    one.change("ledger.happened", "/ledger/item/Q-00001", "event", by="sorter", **sold)
    with one.shop.records.connect() as at:
        (number,) = at.exec_driver_sql("SELECT id FROM event WHERE what = 'sold'").one()
    again = {"day": "", "amount": "24", "note": "mistyped", "key": "corrected"}
    path = f"/ledger/item/Q-00001/{number}"
    one.change("ledger.correct", path, "event", by="lead", **again)


def till(one: Changing) -> None:
    """What somebody sold a moment ago is taken back, sold over the till, and the day is closed."""
    sold = {"what": "sold", "day": "", "amount": "30", "key": "too soon"}
    one.change("ledger.happened", "/ledger/item/Q-00004", "event", by="sorter", **sold)
    with one.shop.records.connect() as at:
        (event,) = at.exec_driver_sql("SELECT max(id) FROM event WHERE what = 'sold'").one()
    path = f"/ledger/item/Q-00004/{event}/undo"
    one.change("ledger.undo", path, "event", by="sorter", key="undone")
    basket = {"items": "Q-00004", "price-Q-00004": "30", "payment": "cash", "key": "basket"}
    one.change("till.sell", "/till", "event", by="sorter", reason="as marked", **basket)
    one.change("till.close", "/till/close", "closed_day", by="sorter", counted="54", note="fine")


def holds(one: Changing) -> None:
    for number, hold in (("Q-00002", "moth"), ("Q-00003", "mould")):
        told = {"hold": hold, "note": "seen", "key": f"hold-{number}"}
        path = f"/held/{number}"
        one.change("holds.hold_it", path, "hold_event", by="sorter", **told)
    begun = {"day": one.shop.here().date().isoformat(), "how": "four days at -18", "key": "cold"}
    one.change("holds.treated", "/held/Q-00002/moth/treated", "hold_event", **begun)
    why = {"reason": "looked myself", "mistake": "1", "key": "clear"}
    one.change("holds.clear", "/held/Q-00002/moth/clear", "hold_event", by="lead", **why)
    away = {"warned": "1", "reason": "to the recycler, told", "key": "away"}
    one.change("holds.away", "/held/Q-00003/away", "event", by="lead", **away)


def rail(one: Changing) -> None:
    lead = {"by": "lead"}
    price = {"price": "31", "reason": "a fair day", "key": "by hand"}
    one.change("rail.price_by_hand", "/rail/Q-00004/price", "event", **lead, **price)
    ticket = {"price": "33", "reason": "a fairer day", "key": "inline"}
    one.change("rail.ticket", "/rail/ticket/Q-00004", "event", **lead, **ticket)
    for number in ("Q-00005", "Q-00008"):
        one.change("rail.put_out", "/rail/out", "event", **lead, pick=number, key=f"out {number}")
    one.change("rail.away", "/rail/away", "event", **lead, pick="Q-00006", key="gone")


def consignors(one: Changing) -> None:
    lead = {"by": "lead"}
    named = {"number": "C-1", "name": "An invented consignor"}
    one.change("consignors.save", "/consignors", "consignor", **lead, **named)
    brought = {"items": "Q-00004 Q-00005"}
    one.change("consignors.add_items", "/consignors/C-1/brings", "brought", **lead, **brought)
    off = {"item": "Q-00005"}
    one.change("consignors.take_off", "/consignors/C-1/takes-off", "brought", **lead, **off)
    one.change("erasure.forget", "/consignors/C-1/forget", "consignor", **lead)


def accounts(one: Changing) -> None:
    """What sold has a consignor after all, who is paid, and whose statement is closed."""
    lead, path = {"by": "lead"}, "/consignors/C-2"
    one.change("consignors.save", "/consignors", "consignor", **lead, number="C-2", name="Pia")
    one.change("consignors.rename", f"{path}/name", "consignor", **lead, name="Pia Venn")
    one.change("consignors.share", f"{path}/share", "consignor", **lead, share="55")
    one.change(
        "consignors.add_items", f"{path}/brings", "brought", "posting", **lead, items="Q-00001"
    )
    paid = {"what": "payout", "amount": "2", "payment": "cash", "key": "paid", "in_advance": "1"}
    one.change("accounts.move", f"{path}/money", "posting", **lead, **paid)
    with one.shop.records.connect() as at:
        (entry,) = at.exec_driver_sql("SELECT max(id) FROM account_entry").one()
    one.change("accounts.undo", f"{path}/take-back", "posting", **lead, entry=entry, key="back")
    one.change("accounts.close", f"{path}/close", "statement", **lead)
    owed = {"pick": "C-2", "payment": "cash", "key": "list"}
    one.change("accounts.pay_list", "/payments", "posting", **lead, **owed)
    sold = {"what": "sold", "day": "", "amount": "30", "key": "sold too"}
    one.change("ledger.happened", "/ledger/item/Q-00005", "event", **sold)
    one.change("consignors.save", "/consignors", "consignor", **lead, number="C-3", name="Odo")
    one.change("consignors.add_items", "/consignors/C-3/brings", "brought", items="Q-00005")
    one.change("accounts.close_month", "/payments/close", "statement", **lead)


def labels_and_rates(one: Changing) -> None:
    called = {"written": "Harrowmere", "name": "Harrow Mere"}
    one.change("labels.call_it", "/ledger/labels", "item", by="lead", **called)
    rate = {"currency": "GBP", "rate": "1.15", "since": "2026-01-05"}
    one.change("rates.state", "/ledger/rates", **rate)


def photos(one: Changing) -> None:
    path = "/items/Q-00004/photos"
    picture = {"photo": (shot(90, 60), "one.png"), "signal": "pilling"}
    one.change("photos.add", path, "photo", by="sorter", **picture)
    one.change("photos.in_front", "/photos/1/front", "photo", by="sorter")
    one.change("photos.shows", "/photos/1/shows", "photo", by="sorter", signal="stain")
    kind = one.shop.changed.kinds["jacket"]
    right = {"signal": "stain", "option": kind.by_id["stain"].option_ids[0]}
    one.change("photos.teaches", "/photos/1/teaches", "photo", by="lead", **right)
    one.change("photos.remove", "/photos/1/remove", "photo", by="lead")


def training(one: Changing) -> None:
    day = one.shop.here().date().isoformat()
    path = f"/drill/second-looks/{day}"
    one.change("second_looks.draw", path, "second_look_sample", by="lead", level="2.5")
    page = one.user("lead").get(f"/drill/second-looks?day={day}").text
    number = re.findall(r"Q-0000\d", page)[0]
    seen = {"s-pilling": "grade_4"}
    one.change("second_looks.look", f"{path}/{number}", "second_look", by="lead", **seen)
    sorter = a_practised_sorter(one.shop)
    person = f"/drill/people/{sorter.id}"
    one.change("team_progress.alone", f"{person}/alone/jacket", "working_alone", by="lead")
    one.change("team_progress.order", f"{person}/order", "introduction", by="lead")
    leads_part(one)
    one.change("team_progress.together", f"{person}/together/jacket", "working_alone", by="lead")
    ada = add_person(one.shop.records, "Ada", "sorter", one.shop.now()).id
    first = {"key": "first", "shipped": "1"}
    one.change("courses.make", "/drill/courses", "course", by="lead", **first)
    path = "/drill/courses/1/people"
    one.change("courses.join", path, "course_member", by="lead", person=str(ada))
    one.change("courses.end", f"{path}/{ada}/end", "course_member", by="lead")


def leads_part(one: Changing) -> None:
    """Two leads read the quarter's things, and part on the pills."""
    records, at = one.shop.records, one.shop.now()
    whole = {**LEAD_SAYS, "stain": "none", "hole": "none", "lining_state": "sound"}
    valued = a_valued(**whole, cuff_buttons="working", jacket_buttons="horn")
    save_item(records, a_save("whole", valued=valued), at)
    one.change("calibration.draw", "/drill/leads", "calibration", by="lead")
    number = calibrations(records)[quarter_of(one.shop.here().date())][0]
    path = f"/drill/leads/{number}"
    one.change("calibration.read", path, "second_look", by="lead", **{"s-pilling": "grade_4"})
    numbers = [save_item(records, a_save(f"parted-{n}"), at) for n in range(24)]
    add_calibration(records, "2020-Q1", tuple(numbers), "Ada", at)
    both = [add_person(records, name, "lead", at) for name in ("Ada", "Bo")]
    looked = [
        NewLook(f"{n}/{who.id}", n, who.id, {"pilling": f"grade_{grade}"}, {}, 9.0)
        for n in numbers
        for who, grade in zip(both, (5, 3), strict=True)
    ]
    save_looks(records, looked, at)
    one.change("calibration.doubt", "/drill/leads/doubt/pilling", "rule_change", by="lead")


def a_practised_sorter(shop: Shop) -> Person:
    """Somebody who read so many things as the lead does that they may work alone, but for one."""
    at = shop.now()
    both = [add_person(shop.records, name, role, at) for name, role in READERS]
    for n in range(25):
        number = save_item(shop.records, a_save(f"read-{n}"), at)
        said = (LEAD_SAYS, SLIPS if n == 24 else LEAD_SAYS)
        read = [
            NewLook(f"{number}/{who.id}", number, who.id, choices, {}, 9.0)
            for who, choices in zip(both, said, strict=True)
        ]
        save_looks(shop.records, read, at)
    return both[1]


def prices(one: Changing) -> None:
    rows = (f"jacket,{20 + n},2026-01-{n + 1:02d}\n" for n in range(9))
    past = "kind,price,sold_on\n" + "".join(rows)
    owner = one.user("owner")
    sent = {**one.token(owner), "file": (BytesIO(past.encode()), "past.csv")}
    here = owner.post("/ledger/bring", data=sent).location
    one.app.extensions[WORKS].wait()
    page = owner.get(here, follow_redirects=True).text
    path = re.search(r'action="(/ledger/bring/[0-9a-f]{64}/load)"', page)
    assert path is not None
    one.change("imports.load_all", path[1], "event", "item", "import_run")
    one.change("prices.learn_again", "/ledger/prices/learn", "model_run", "model_switch")
    table = one.user("lead").get("/rail/reprice").text
    picks = re.findall(r'name="pick" value="(Q-\d+)"', table)
    one.change("rail.reprice", "/rail/reprice", "event", by="lead", pick=picks[0], key="anew")
    with one.shop.records.connect() as at:
        (model,) = at.exec_driver_sql("SELECT model_id FROM model_run").first() or ("",)
    one.change("prices.switch", "/ledger/prices/switch", "model_switch", model="")
    assert model


def rules(one: Changing) -> None:
    """A change is worked out first, by a form of its own; only what is saved is a change."""
    lead, path = one.user("lead"), "/rules/jacket/cuff_buttons"
    found = re.findall(r'<input name="([^"]+)"[^>]* value="([^"]*)"', lead.get(path).text)
    form = {**dict(found), "effect-working": "1.6", **one.token(lead)}
    answer = lead.post(path, data=form)
    one.app.extensions[WORKS].wait()
    draft = lead.get(answer.location, follow_redirects=True).request.path
    one.change("rules.save", draft, "rule_change", by="lead", why="Buyers ask for them.")
    said = {"from-jacket": "20", "to-jacket": "60"}
    one.change("ordinary.state", "/rules/ordinary", "rule_change", by="lead", **said)


def quiet_days(one: Changing) -> None:
    """Two sales a day in February, then none before those of today: somebody says why."""
    made = LedgerShop(one.shop.records)
    for place in range(10):
        made.happens(made.item(), "sold", f"02-{1 + place // 2:02d}", 2000)
    said = {"first": "2026-02-06", "was_open": "0"}
    one.change("ledger.quiet", "/ledger/quiet", "quiet_spell", by="sorter", **said)


def later_on_the_rail(one: Changing, monkeypatch: pytest.MonkeyPatch) -> None:
    """What hangs is due after some weeks."""
    with monkeypatch.context() as patch:
        real = Shop.now
        patch.setattr(Shop, "now", lambda shop: real(shop) + timedelta(days=36))
        table = one.user("lead").get("/rail").text
        form = table[table.index('action="/rail/marks"') :]
        picks = re.findall(r'name="pick" value="(Q-\d+)"', form)
        one.change("rail.marks", "/rail/marks", "event", by="lead", pick=picks[0], key="mark")


def devices_and_settings(one: Changing) -> None:
    one.change("devices.add", "/devices", "device_token", name="Till", may="read")
    one.change("devices.revoke", "/devices/1/revoke", "device_token")
    form = hidden_fields(one.user("owner"), "/settings/prices")
    one.change("settings.save", "/settings/prices", **{**form, "set-least_ticket": "6.5"})


def person(one: Changing, name: str) -> Person:
    found = person_named(one.shop.records, name)
    assert found is not None
    return found


def team(one: Changing) -> None:
    one.change("team.add", "/team", "person", "entry_link", name="Wenna", role="sorter")
    wenna = f"/team/{person(one, 'Wenna').id}"
    one.change("team.link", f"{wenna}/link", "entry_link")
    one.change("team.change", f"{wenna}/role", "person", role="lead")
    one.change("team.sign_out", f"{wenna}/out", "sitting")
    one.change("team.no_second_step", f"{wenna}/second-step-off", "second_step", "entry_link")
    one.change("team.go", f"{wenna}/go", "person", "sitting")


def own_doors(one: Changing, monkeypatch: pytest.MonkeyPatch) -> None:
    shop = one.shop
    owner = person(one, "Ottoline")
    set_password(shop.records, owner, GOOD)
    again = {"old": GOOD, "password": BETTER, "again": BETTER}
    one.change("sign_in.new_password", "/you/password", "person", "sitting", **again)
    own = {"password": BETTER}
    one.change("own_steps.app", "/you/second/app", "second_step", **own)
    seed = unproved_seed(shop.records, owner)
    assert seed
    code = pyotp.TOTP(seed).at(shop.now())
    one.change(
        "own_steps.first_code", "/you/second/app/code", "second_step", "recovery_code", code=code
    )
    one.change("own_steps.codes", "/you/second/codes", "recovery_code", **own)
    # What a browser makes is looked at in Chromium; here it is only what is done with it.
    made = NewPasskey("a key", "credential", "public", 0)
    monkeypatch.setattr(passkeys, "made_by_browser", lambda *_: made)
    one.change("own_steps.passkey_made", "/you/second/passkey/answer", "second_step")
    step = second_steps(shop.records, owner)[0].id
    one.change("own_steps.off", f"/you/second/{step}/off", "second_step", **own)
    one.change("sign_in.sign_out", "/sign-out", "sitting", by="sorter")
    one.change("sign_in.sign_out_everywhere", "/sign-out-everywhere", "sitting", by="lead")


def copies(one: Changing) -> None:
    """What leaves the shop changes no row: the line alone stands, before anything is given."""
    one.change("backups.make", "/copies")
    (name,) = {one.name for one in (one.shop.settings.data_folder / "copies").glob("*.zip")}
    for endpoint, path in (
        ("backups.download", f"/copies/{name}"),
        ("ledger.take_out", "/ledger/take-out"),
    ):
        one.change(endpoint, path, send=lambda client, path=path: client.get(path).close())
