"""The page of a chain's owner: shops side by side, and things moved with a press."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from bench_forms import csrf_token, new_form, words_of
from flask import Flask
from looked_over import looked_over
from signed_in import signed_in

from resale.services.chain import move_item as moving
from resale.storage.ledger.ledger import item_life
from resale.web import create_app
from resale.web.core.jobs import EXTENSION as WORKS


@pytest.fixture
def chain(tmp_path: Path, empty_records: Path) -> dict[str, Flask]:
    """Harbour, whose owner sees Mill beside it; both have screens of their own."""
    apps = {}
    for name in ("mill", "harbour"):
        folder = tmp_path / name
        folder.mkdir()
        shutil.copy(empty_records, folder)
        others = 'other_shops = ["../mill"]\n' if name == "harbour" else ""
        own = f'name = "{name.title()}"\nopening_prices_hold = true\n{others}'
        (folder / "shop.toml").write_text(own, encoding="utf-8")
        apps[name] = create_app(folder)
    return apps


def _jacket(app: Flask) -> str:
    client = signed_in(app, "sorter")
    fields = {**new_form(client), **looked_over("jacket", {})}
    fields |= {"label": "Ulmba", "s-maker_doubt": "nothing_odd"}
    said = client.post("/bench/jacket/save", data=fields)
    assert said.status_code == 303, words_of(said)
    with app.extensions["resale"].records.connect() as at:
        return str(at.exec_driver_sql("SELECT max(number) FROM item").scalar())


def _owner_asks(app: Flask, path: str) -> str:
    client = signed_in(app, "owner")
    answer = client.get(path)
    app.extensions[WORKS].wait()
    if answer.status_code == 303:
        answer = client.get(path)
    assert answer.status_code == 200
    return words_of(answer)


def test_shops_stand_side_by_side_for_the_owner_alone(chain: dict[str, Flask]) -> None:
    harbour = chain["harbour"]
    _jacket(chain["mill"])
    said = _owner_asks(harbour, "/chain")
    assert "Harbour 0 0 0 €0.00" in said
    assert "Mill 1 0 0 €0.00" in said
    assert "The chain" in words_of(signed_in(harbour, "owner").get("/you"))
    for role in ("lead", "sorter"):
        assert signed_in(harbour, role).get("/chain").status_code == 403
    # A shop that names no others has no such page, nor a way to it.
    assert signed_in(chain["mill"], "owner").get("/chain").status_code == 404
    assert "The chain" not in words_of(signed_in(chain["mill"], "owner").get("/you"))


def test_things_are_moved_and_what_stays_is_said(chain: dict[str, Flask]) -> None:
    harbour, mill = chain["harbour"], chain["mill"]
    number = _jacket(harbour)
    client = signed_in(harbour, "owner")
    token = csrf_token(client)
    # The last figures of a number will do, as everywhere.
    sent = {"csrf_token": token, "source": "Harbour", "target": "Mill", "numbers": "1 Q-00099"}
    answer = client.post("/chain/move", data=sent)
    said = words_of(answer)
    assert answer.status_code == 422
    assert f"{number} Q-00001" in said
    assert "Q-00099" in said
    assert 'value="Q-00099"' in answer.text
    assert item_life(harbour.extensions["resale"].records, number).state.where == "gone"
    told = words_of(signed_in(mill, "sorter").get("/ledger/item/Q-00001"))
    assert f"Before it came here it was {number} at Harbour" in told
    assert f"from Harbour, {number}" in told
    for fields in ({"target": "Nowhere"}, {"target": "Harbour"}, {"numbers": " "}):
        assert client.post("/chain/move", data={**sent, **fields}).status_code == 422


def test_what_broke_off_is_shown_and_finished_by_a_press(
    chain: dict[str, Flask], monkeypatch: pytest.MonkeyPatch
) -> None:
    harbour = chain["harbour"]
    harbour.config["PROPAGATE_EXCEPTIONS"] = False
    number = _jacket(harbour)
    client = signed_in(harbour, "owner")
    token = csrf_token(client)
    sent = {"csrf_token": token, "source": "Harbour", "target": "Mill", "numbers": number}

    def dies(*_: object, **__: object) -> str:
        raise RuntimeError

    with monkeypatch.context() as broken:
        broken.setattr(moving, "_take_in", dies)
        assert client.post("/chain/move", data=sent).status_code == 500
    assert f"{number} from Harbour to Mill" in _owner_asks(harbour, "/chain")
    assert client.post("/chain/move", data=sent).status_code == 200
    assert "Sent, and not taken in" not in _owner_asks(harbour, "/chain")


def test_a_shop_that_cannot_be_opened_is_a_row_of_its_own(
    chain: dict[str, Flask], tmp_path: Path
) -> None:
    shutil.rmtree(tmp_path / "mill")
    assert "no such folder" in _owner_asks(chain["harbour"], "/chain")
