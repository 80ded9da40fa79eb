"""The doors: who gets in, what is theirs to do, and what is written down of it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from addresses import PARTS
from bench_forms import csrf_token, hidden_fields, new_form, words_of
from flask import Flask
from flask.testing import FlaskClient
from signed_in import NAMES, Lay, session_cookie, signed_in, stranger

from resale.services.people.take_up_link import take_up_link
from resale.storage.people.audit_log import audit_entries
from resale.storage.people.invitations import make_entry_link, open_entry_link
from resale.storage.people.passwords import set_password
from resale.storage.people.people import RANK, Role, add_person, people, person_by_id, person_named
from resale.web import create_app
from resale.web.access.permissions import OPEN, PERMISSIONS, UNLISTED, is_open, permission_for

GOOD = "linen buckle orchard"
ROLES: tuple[Role, ...] = ("sorter", "lead", "owner")
# Posts that write nothing that lasts, or only what one practises: no line is kept of them.
QUIET = {
    "bench.accept_usual",
    "bench.found_none",
    "bench.look",
    "bench.nothing_found",
    "label_photo.read",
    "imports.say",
    "imports.upload",
    "stock_files.say",
    "stock_files.upload",
    "drill.answer",
    "drill.start",
    "own_steps.passkey",
    "rules.consider",
    "rules.take_back",
    "rules.work_out_again",
    "settings.look",
    "whole_items.read",
}


def rules(app: Flask):
    return [rule for rule in app.url_map.iter_rules() if not is_open(rule.endpoint)]


# ---------------------------------------------------------------- the table
def test_every_address_stands_in_the_table_and_the_table_names_no_other(app: Flask) -> None:
    assert {rule.endpoint for rule in rules(app)} == set(PERMISSIONS)
    every = {rule.endpoint for rule in app.url_map.iter_rules()}
    assert every >= OPEN
    assert permission_for("something.new") == UNLISTED and UNLISTED.least == "owner"


def test_every_change_is_written_down_by_its_service(app: Flask) -> None:
    posts = {rule.endpoint for rule in rules(app) if "POST" in (rule.methods or ())}
    assert {name for name in posts if not PERMISSIONS[name].written_down} == QUIET
    gets = {rule.endpoint for rule in rules(app) if "POST" not in (rule.methods or ())}
    assert {name for name in gets if PERMISSIONS[name].written_down} <= {
        "ledger.take_out",
        "backups.download",
    }


def test_each_role_gets_through_where_the_table_says_and_nowhere_else(app: Flask) -> None:
    """Role by route: ASVS 5.0, 8.2.1 (access by function) and 8.3.1 (decided on the server)."""
    clients = {role: signed_in(app, role) for role in ROLES}
    nobody = stranger(app)
    for rule in rules(app):
        method = "POST" if "POST" in (rule.methods or ()) else "GET"
        with app.test_request_context():
            path = app.url_for(rule.endpoint, **{one: PARTS[one] for one in rule.arguments})
        least = PERMISSIONS[rule.endpoint].least
        for role, client in clients.items():
            if rule.endpoint.startswith("sign_in."):
                continue
            # Without a token of the form nothing is done, and the guard speaks before it.
            code = client.open(path, method=method).status_code
            assert (code == 403) == (RANK[role] < RANK[least]), (rule.endpoint, role, code)
        answer = nobody.open(path, method=method)
        if method == "POST":
            assert answer.status_code == 401, rule.endpoint
        else:
            assert answer.location.startswith("/sign-in"), rule.endpoint


# ---------------------------------------------------------------- the first owner
def test_a_new_shop_lets_nobody_in_but_by_its_link(tmp_path: Path) -> None:
    app = create_app(tmp_path)
    client, shop = stranger(app), app.extensions["resale"]
    said = client.get("/")
    assert said.status_code == 403
    assert "no owner yet" in words_of(said)
    token = make_entry_link(shop.records, None, shop.now())
    page = client.get(f"/enter/{token}")
    assert "Make this shop yours" in words_of(page)
    form = {**hidden_fields(client, f"/enter/{token}"), "name": "Ottoline"}
    refused = client.post(
        f"/enter/{token}", data={**form, "password": "password", "again": "password"}
    )
    assert refused.status_code == 422 and "guessed too easily" in words_of(refused)
    assert 'value="Ottoline"' in refused.text
    differs = client.post(f"/enter/{token}", data={**form, "password": GOOD, "again": "else"})
    assert differs.status_code == 422 and "differ" in words_of(differs)
    done = client.post(f"/enter/{token}", data={**form, "password": GOOD, "again": GOOD})
    assert (done.status_code, done.location) == (303, "/")
    assert client.get("/").status_code == 200
    assert [one.role for one in people(shop.records)] == ["owner"]
    again = stranger(app).get(f"/enter/{token}")
    assert again.status_code == 422 and "used already" in words_of(again)


def test_a_link_is_used_up_with_its_password_or_not_at_all(
    app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    shop = app.extensions["resale"]
    token = make_entry_link(shop.records, None, shop.now())
    link = open_entry_link(shop.records, token, shop.now())
    said = (shop.records, token, link, "Ottoline", GOOD, shop.now())

    def breaks(*_: object) -> None:
        raise MemoryError

    monkeypatch.setattr("resale.services.people.take_up_link.end_all_sessions", breaks)
    with pytest.raises(MemoryError):
        take_up_link(*said)
    assert open_entry_link(shop.records, token, shop.now()) == link
    assert people(shop.records) == ()
    monkeypatch.undo()
    assert take_up_link(*said).name == "Ottoline"


# ---------------------------------------------------------------- in and out
@pytest.fixture
def sunniva(app: Flask) -> str:
    """A sorter with a password."""
    shop = app.extensions["resale"]
    add_person(shop.records, "Ottoline", "owner", shop.now())
    set_password(shop.records, add_person(shop.records, "Sunniva", "sorter", shop.now()), GOOD)
    return "Sunniva"


def knock(client: FlaskClient, name: str, word: str, **more: str):
    form = {**hidden_fields(client, "/sign-in"), "name": name, "password": word, **more}
    return client.post("/sign-in", data=form)


def test_whoever_knows_the_password_gets_where_they_wanted(app: Flask, sunniva: str) -> None:
    client = stranger(app)
    sent = client.get("/items?page=2")
    assert (sent.status_code, sent.location) == (303, "/sign-in?next=%2Fitems%3Fpage%3D2")
    page = client.get(sent.location)
    assert 'value="/items?page=2"' in page.text
    done = knock(client, sunniva, GOOD, next="/items?page=2")
    assert (done.status_code, done.location) == (303, "/items?page=2")
    assert "Signed in as Sunniva sorter" in words_of(client.get("/"))


@pytest.mark.parametrize(
    "wanted",
    ["//else.example", "https://else.example", "/\\else.example", "\\\\else", "x", "/a\nb"],
)
def test_nobody_is_sent_on_to_another_machine(app: Flask, sunniva: str, wanted: str) -> None:
    """ASVS 5.0, 3.7.2: redirects only to places that are meant."""
    done = knock(stranger(app), sunniva, GOOD, next=wanted)
    assert (done.status_code, done.location) == (303, "/")


def test_a_wrong_name_and_a_wrong_password_get_the_same_answer(app: Flask, sunniva: str) -> None:
    """ASVS 5.0, 6.3.8: the answer does not tell which names are known."""
    said = [
        re.sub(r'value="[^"]*"', "", knock(stranger(app), name, "wrong words here").text)
        for name in (sunniva, "Nobody")
    ]
    assert said[0] == said[1]
    assert "do not belong together" in said[0]


def test_after_six_wrong_passwords_a_name_waits(app: Flask, sunniva: str) -> None:
    """ASVS 5.0, 6.3.1: guessing is slowed down."""
    client = stranger(app)
    codes = [knock(client, sunniva, f"wrong words {turn}").status_code for turn in range(7)]
    assert codes == [401] * 6 + [429]
    waits = knock(client, sunniva.upper(), GOOD)
    assert waits.status_code == 429
    assert int(waits.headers["Retry-After"]) > 0
    assert "tried too often" in words_of(waits)


def test_password_fields_are_masked_and_can_be_filled_by_a_keeper(
    app: Flask, client: FlaskClient, sunniva: str
) -> None:
    """ASVS 5.0, 6.2.6 and 6.2.7."""
    shop = app.extensions["resale"]
    link = f"/enter/{make_entry_link(shop.records, None, shop.now())}"
    for page in (stranger(app).get("/sign-in"), stranger(app).get(link), client.get("/you")):
        fields = re.findall(r"<input[^>]*password[^>]*>", page.text)
        assert fields
        for field in fields:
            assert 'type="password"' in field, field
            assert 'autocomplete="current-password"' in field or "new-password" in field
            assert "onpaste" not in field


def test_signing_out_ends_the_session_itself(app: Flask, sunniva: str) -> None:
    """ASVS 5.0, 7.4.1: a copied cookie is worth nothing after signing out."""
    client = stranger(app)
    knock(client, sunniva, GOOD)
    copied = client.get_cookie("resale").value
    client.post("/sign-out", data=hidden_fields(client, "/you"))
    thief = stranger(app)
    thief.set_cookie("resale", copied)
    assert thief.get("/").location == "/sign-in"


def test_signing_in_begins_a_new_session(app: Flask, sunniva: str) -> None:
    """ASVS 5.0, 7.2.4: a session from before does not live on."""
    client = stranger(app)
    client.get("/sign-in")
    with client.session_transaction() as session:
        session["planted"] = True
    knock(client, sunniva, GOOD)
    with client.session_transaction() as session:
        assert "planted" not in session


def test_another_password_signs_out_every_other_browser(app: Flask, sunniva: str) -> None:
    """ASVS 5.0, 6.2.3 and 7.4.3: the present password is asked for; other sessions end."""
    here, there = stranger(app), stranger(app)
    knock(here, sunniva, GOOD)
    knock(there, sunniva, GOOD)
    form = hidden_fields(here, "/you")
    new = "velvet hinge sparrow"
    wrong = here.post("/you/password", data={**form, "old": "x", "password": new, "again": new})
    assert wrong.status_code == 422
    weak = here.post(
        "/you/password", data={**form, "old": GOOD, "password": "sunniva1", "again": "sunniva1"}
    )
    assert weak.status_code == 422 and "guessed too easily" in words_of(weak)
    done = here.post("/you/password", data={**form, "old": GOOD, "password": new, "again": new})
    assert done.status_code == 303
    assert here.get("/").status_code == 200
    assert there.get("/").location == "/sign-in"
    assert knock(stranger(app), sunniva, GOOD).status_code == 401


# ---------------------------------------------------------------- what is written down
def test_what_people_do_stands_beside_their_name(app: Flask) -> None:
    sorter, owner = signed_in(app, "sorter"), signed_in(app, "owner")
    fields = new_form(sorter)
    sorter.post("/bench/jacket/save", data={**fields, "s-cuff_buttons": "working"})
    sorter.post("/bench/jacket/save", data={**fields, "csrf_token": "forged"})
    shop = app.extensions["resale"]
    kept = [(one.by_whom, one.what, one.about) for one in audit_entries(shop.records)]
    assert kept == [(NAMES["sorter"], "saved an item", "Q-00001")]
    said = words_of(owner.get("/deeds"))
    assert "Sunniva sorter saved an item" in said
    text = owner.get("/deeds/file").get_data(as_text=True)
    assert text.splitlines()[1].split(",")[2:6] == ["Sunniva", "sorter", "saved an item", "Q-00001"]
    life = words_of(owner.get("/ledger/item/Q-00001"))
    assert "Sunniva" in life


def test_attempts_at_doors_are_written_down(app: Flask, sunniva: str) -> None:
    """ASVS 5.0, 16.3.1 and 16.3.2: failed sign-ins and refusals are logged."""
    client, shop = stranger(app), app.extensions["resale"]
    knock(client, sunniva, "wrong words here")
    knock(client, "my password by mistake", "x")
    knock(client, sunniva, GOOD)
    client.get("/team")
    kept = [(one.by_whom, one.what, one.about) for one in audit_entries(shop.records)]
    assert kept == [
        ("Sunniva", "was refused", "team.listed"),
        ("Sunniva", "signed in", ""),
        ("Sunniva", "failed to sign in", ""),
    ]


def test_no_page_of_the_records_is_kept_by_a_browser(app: Flask, client: FlaskClient) -> None:
    """ASVS 5.0, 14.3.2."""
    for path in ("/", "/items", "/ledger", "/you", "/team", "/deeds", "/deeds/file"):
        assert "no-store" in client.get(path).headers["Cache-Control"], path
    assert "no-store" not in client.get("/static/styles/paper.css").headers["Cache-Control"]


# ---------------------------------------------------------------- the team
def test_the_owner_lets_somebody_in_and_go_again(app: Flask) -> None:
    owner, shop = signed_in(app, "owner"), app.extensions["resale"]
    token = csrf_token(owner)
    page = owner.post("/team", data={"csrf_token": token, "name": "Sunniva", "role": "sorter"})
    link = re.findall(r"http://localhost(/enter/[\w-]+)", page.text)[0]
    assert "Give this link to Sunniva" in words_of(page)
    new = stranger(app)
    form = hidden_fields(new, link)
    assert new.post(link, data={**form, "password": GOOD, "again": GOOD}).status_code == 303
    assert "Signed in as Sunniva sorter" in words_of(new.get("/"))
    person = person_named(shop.records, "Sunniva")
    owner.post(f"/team/{person.id}/role", data={"csrf_token": token, "role": "lead"})
    assert "Sunniva lead" in words_of(new.get("/"))
    owner.post(f"/team/{person.id}/go", data={"csrf_token": token})
    assert new.get("/").location == "/sign-in"
    assert person_by_id(shop.records, person.id).name == "Sunniva"


@pytest.mark.parametrize(
    ("path", "form", "code", "sentence"),
    [
        ("/team", {"name": "", "role": "sorter"}, 422, "a name needs 1 to 60"),
        ("/team", {"name": "New", "role": "king"}, 422, "there is no role"),
        ("/team/99/role", {"role": "lead"}, 404, "nobody of this number"),
        ("/team/99/out", {}, 404, "nobody of this number"),
        ("/team/99/link", {}, 404, "nobody of this number"),
        ("/team/1/go", {}, 422, "is the only owner"),
    ],
)
def test_what_cannot_be_done_with_the_team_is_said(
    app: Flask, path: str, form: dict[str, str], code: int, sentence: str
) -> None:
    owner = signed_in(app, "owner")
    token = csrf_token(owner)
    answer = owner.post(path, data={"csrf_token": token, **form})
    assert answer.status_code == code and sentence in words_of(answer)


# ---------------------------------------------------------------- the invented shop
def test_the_invented_shop_opens_at_once_and_lets_anybody_step_in(
    tmp_path: Path, copy_of_demo: Lay
) -> None:
    app = create_app(copy_of_demo(tmp_path), demo=True)
    client = stranger(app)
    assert "owner" in words_of(client.get("/"))
    client.post("/sign-out", data=hidden_fields(client, "/you"))
    door = client.get("/", follow_redirects=True)
    assert "Nobody here is real" in words_of(door)
    sorter = next(one for one in people(app.extensions["resale"].records) if one.role == "sorter")
    form = {**hidden_fields(client, "/sign-in"), "person": str(sorter.id)}
    client.post("/sign-in", data=form)
    assert f"Signed in as {sorter.name} sorter" in words_of(client.get("/"))
    assert client.get("/team").status_code == 403


def test_a_real_shop_that_calls_itself_invented_opens_no_door(tmp_path: Path) -> None:
    app = create_app(tmp_path, invented=True)
    owner = signed_in(app, "owner")
    assert owner.get("/").status_code == 200
    client = stranger(app)
    assert client.get("/").location == "/sign-in"
    form = {**hidden_fields(client, "/sign-in"), "person": "1"}
    assert client.post("/sign-in", data=form).status_code == 401


# ---------------------------------------------------------------- behind a proxy
def test_behind_a_proxy_with_https_cookies_go_no_other_way(tmp_path: Path) -> None:
    app = create_app(tmp_path, https=True, proxies=1, hosts=("desk.example",))
    line = _cookie_line(app, {})
    # ASVS 5.0, 3.3.1 and 3.3.3.
    assert line.startswith("__Host-resale=") and "Secure" in line
    answer = stranger(app).get("/sign-in", base_url="https://desk.example")
    assert answer.headers["Strict-Transport-Security"]


def _cookie_line(app: Flask, headers: dict[str, str]) -> str:
    signed_in(app, "owner")
    answer = stranger(app).get("/sign-in", headers=headers)
    return answer.headers["Set-Cookie"]


def test_a_session_cookie_is_out_of_reach_of_scripts_and_other_sites(app: Flask) -> None:
    """ASVS 5.0, 3.3.2 (SameSite) and 3.3.4 (HttpOnly)."""
    line = _cookie_line(app, {})
    assert "HttpOnly" in line and "SameSite=Strict" in line
    assert session_cookie(app, "sorter")
