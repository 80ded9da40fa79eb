"""What went wrong on a bad day, asked of one real server in a process of its own.

Two leads who change the rules at once; a copy that hides a pickle; passwords in wrong fields; forms
that no browser sends; a second step; a hold over the wire. Each has its edges tested in its room.
"""

from __future__ import annotations

import hashlib
import json
import pickle
import re
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pyotp
import pytest
from api_shop import LOOKED_OVER
from running_shop import PASSWORD, Answer, Running, Visitor, hidden, running_shop
from server_process import command

from resale.storage.backup.manifest import MANIFEST

CUFFS = "/rules/jacket/cuff_buttons"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Running, Visitor, Path]]:
    folder = tmp_path_factory.mktemp("bad-day") / "shop"
    with running_shop(folder) as running:
        owner = running.visitor()
        owner.become_owner(running.link)
        yield running, owner, folder


def settled(visitor: Visitor, answer: Answer) -> tuple[str, Answer]:
    """Where a piece of work leads in the end."""
    assert answer.status == 303, answer.text
    path = answer.headers["Location"]
    while path.startswith("/work/"):
        path = visitor.get(path).headers["Location"] or path
    return path, visitor.get(path)


def test_the_second_of_two_who_change_the_rules_is_told_and_shown_both(
    shop: tuple[Running, Visitor, Path],
) -> None:
    _, owner, _ = shop
    form = dict(re.findall(r'<input name="([^"]+)"[^>]* value="([^"]*)"', owner.get(CUFFS).text))
    drawn = [
        settled(owner, owner.post(CUFFS, **{**form, "effect-working": effect}))
        for effect in ("1.6", "1.4")
    ]
    (first, page), (second, other) = drawn
    token = hidden(page.text, "csrf_token")
    body = f"csrf_token={token}&why=Buyers+ask+for+them"
    settled(owner, owner.ask("POST", second, body))
    late = owner.ask("POST", first, body)
    assert late.status == 409 and "changed the rule book since" in late.text
    assert "1.4" in other.text and "1.4" in late.text and "1.6" in late.text


class Trap:
    """What a forged copy would run when something opens it as a pickle."""

    def __init__(self, mark: Path) -> None:
        self.mark = mark

    def __reduce__(self) -> tuple[object, tuple[str]]:
        return Path.touch, (self.mark,)  # type: ignore[return-value]


def test_a_forged_copy_runs_nothing(shop: tuple[Running, Visitor, Path], tmp_path: Path) -> None:
    """CWE-502. The forger makes manifest and digests anew, so that they fit."""
    _, _, folder = shop
    (tmp_path / "stick").mkdir()
    said = command(folder, "keep", "--to", str(tmp_path / "stick"))
    assert said.returncode == 0, said.stderr
    (copy,) = (tmp_path / "stick").glob("copy-*.zip")
    mark, forged = tmp_path / "ran", tmp_path / "forged.zip"
    trap = pickle.dumps(Trap(mark))
    names = ("models/prices-0.npz", "models/prices-0.joblib", "models/manifest.json")
    with zipfile.ZipFile(copy) as old, zipfile.ZipFile(forged, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if name == MANIFEST:
                told = json.loads(content)
                seal = {"sha256": hashlib.sha256(trap).hexdigest(), "size": len(trap)}
                told["files"] |= dict.fromkeys(names, seal)
                content = json.dumps(told).encode()
            new.writestr(name, content)
        for name in names:
            new.writestr(name, trap)
    there = tmp_path / "there"
    back = command(there, "bring-back", str(forged))
    with running_shop(there, owned=True) as running:
        assert running.visitor().get("/sign-in").status == 200
    assert not mark.exists(), back.stdout


def test_what_was_typed_for_a_password_is_on_no_page_and_in_no_log(
    shop: tuple[Running, Visitor, Path],
) -> None:
    running, owner, _ = shop
    token = hidden(owner.get("/you").text, "csrf_token")
    secret = "a-secret-of-nobody-else"  # noqa: S105 - typed into the wrong fields here
    bodies = [
        f"csrf_token={token}&password={secret}&old={secret}&again={secret}&name={'x' * 90}",
        f"csrf_token={'0' * 20}&password={secret}&old={secret}&again={secret}",
    ]
    for path in ("/you/password", "/sign-in", "/team"):
        for body in bodies:
            answer = owner.ask("POST", path, body)
            assert answer.status < 500 and secret not in answer.text, path
    assert secret not in running.log.read_text()


FORMS = ("/bench/jacket/look", "/bench/jacket/save", "/ledger", CUFFS, "/settings/shop")
HARD = ("9" * 25, "-1e999", "nan", "inf", "1e-320", "0001-01-01", "9999-12-31", "\ud7ff" * 5, "")


def test_forms_that_no_browser_sends_are_answered_with_a_sentence(
    shop: tuple[Running, Visitor, Path],
) -> None:
    """Every address by every role is fuzzed in the long run; here a few, over the wire."""
    running, owner, _ = shop
    token = hidden(owner.get("/you").text, "csrf_token")
    for hard in HARD:
        fields = {"amount": hard, "day": hard, "price": hard, "key": hard, "doubt-working": hard}
        for path in FORMS:
            body = "&".join(f"{name}={_quoted(said)}" for name, said in fields.items())
            answer = owner.ask("POST", path, f"csrf_token={token}&{body}")
            assert answer.status < 500, (path, hard)
    assert "Traceback" not in running.log.read_text()


def _quoted(text: str) -> str:
    return "".join(f"%{byte:02X}" for byte in text.encode("utf-8", "replace"))


def test_with_a_second_step_the_password_alone_opens_nothing(
    shop: tuple[Running, Visitor, Path],
) -> None:
    """RFC 6238 by another program's clock: pyotp here, the server there. OWASP ASVS 5.0, 6.3.3."""
    running, owner, _ = shop
    begun = owner.post("/you/second/app", "/you/second", password=PASSWORD)
    page = owner.get(begun.headers["Location"]).text
    seed = re.search(r"<code>([A-Z2-7 ]+)</code>", page)
    assert seed is not None
    app, now = pyotp.TOTP(seed[1].replace(" ", "")), datetime.now(UTC)
    proved = owner.post("/you/second/app/code", begun.headers["Location"], code=app.at(now))
    kept = re.findall(r"<li><code>([A-Z2-7-]+)</code>", proved.text)
    visitor = running.visitor()
    knocked = visitor.post("/sign-in", name="Ottoline", password=PASSWORD)
    assert knocked.headers["Location"].startswith("/sign-in/second")
    assert visitor.get("/items").status != 200
    # The code that proved the app was used with that.
    again = visitor.post("/sign-in/second", code=app.at(now))
    assert again.status == 401 and visitor.get("/items").status != 200
    assert visitor.post("/sign-in/second", code=kept[0]).status == 303
    assert visitor.get("/items").status == 200


def test_a_device_raises_a_hold_and_a_lead_s_word_clears_it(
    shop: tuple[Running, Visitor, Path],
) -> None:
    running, _, folder = shop
    may = [word for scope in ("read", "save", "sell", "clear") for word in ("--may", scope)]
    said = command(folder, "device", "add", "Till", *may)
    assert said.returncode == 0, said.stderr
    token = said.stdout.strip()
    device = running.visitor()

    def ask(path: str, key: str, **told: object) -> tuple[int, dict[str, object]]:
        answer = device.ask(
            "POST",
            f"/api/v1{path}",
            json.dumps(told),
            **{
                "Authorization": f"Bearer {token}",
                "Content-Type": "application/json",
                "Idempotency-Key": f'"{key}"',
            },
        )
        return answer.status, json.loads(answer.text)

    _, saved = ask("/items", "s", **LOOKED_OVER)
    number = saved["number"]
    assert ask(f"/items/{number}/holds", "h", hold="mould")[0] == 201
    assert ask(f"/items/{number}/events", "t", what="ticketed", amount_minor=900)[0] == 422
    word = {"lead": "Ottoline", "reason": "Looked at by daylight.", "mistake": True}
    cleared = ask(f"/items/{number}/holds/mould/clear", "c", **word)
    assert cleared == (201, {"number": number, "hold": "mould", "open": False})
    assert ask(f"/items/{number}/events", "t2", what="ticketed", amount_minor=900)[0] == 201
