"""The commands: what they print, write and answer to bad input."""

import csv
import io
import json
import re
import socket
from datetime import date

import numpy as np
import pytest
from click.testing import CliRunner
from till_exports import EXPLAINED, twenty
from tiny_rule_book import tiny_rule_book

from resale.cli import main as cli
from resale.cli import serve as cli_doors
from resale.config.paths import shipped
from resale.config.settings import Settings
from resale.garments.rulebook.readings import one_reading
from resale.garments.rulebook.rule_book import load_rule_book
from resale.pricing.model.learn import rules_alone
from resale.pricing.valuation.explanation import explain
from resale.pricing.valuation.next_check import next_checks
from resale.pricing.valuation.shop_terms import ShopTerms
from resale.pricing.valuation.valuer import Valuer
from resale.services.standing.decide import decide
from resale.services.standing.desk import desk_over
from resale.storage.models import book_in_use
from resale.storage.models.model_files import load_model, read_manifest

KINDS = ", ".join(load_rule_book().kinds)

EVERYWHERE = "0.0.0.0"  # noqa: S104 - what is warned of
ITEMS = (
    "item,kind,label,size,hole,fibre_shell\n"
    "A1,shirt,Vellorange,M,none,100% cotton\n"
    "A2,jacket,,52,seen 3,wool\n"
)


@pytest.fixture
def run(tmp_path, monkeypatch):
    """Run a command in an empty folder of a shop that has sold nothing."""
    monkeypatch.setenv("RESALE_DATA_FOLDER", str(tmp_path / "shop"))
    monkeypatch.chdir(tmp_path)
    return lambda *words: CliRunner().invoke(cli.commands, [str(word) for word in words])


@pytest.fixture
def tiny_shop(tmp_path, monkeypatch):
    """The tiny rule book in the place of the real one, and sixty sales by it."""
    book = tiny_rule_book(tmp_path / "book")
    monkeypatch.setattr(book_in_use, "load_rule_book", lambda: book)
    # The remedies that come with the program speak of signs that this book has not.
    for place in ("mending", "bound"):
        monkeypatch.setattr(f"resale.selling.mending.{place}.load_remedies", lambda _: ())
    rng = np.random.default_rng(3)
    rows = ["item,kind,cloth,wear,price,sold_on"]
    for number in range(60):
        kind, level = (("shirt", 25.0), ("boot", 30.0))[number % 2]
        cloth = rng.choice(["thin", "thick", ""])
        price = level * np.exp(0.2 * rng.standard_normal())
        rows.append(f"S{number},{kind},{cloth},good,{price:.2f},2026-0{1 + number % 9}-15")
    (tmp_path / "sold.csv").write_text("\n".join(rows) + "\n")
    return book


def rows_of(text):
    return list(csv.DictReader(io.StringIO(text)))


# ---------------------------------------------------------------- value
def test_a_file_of_items_is_priced_beside_itself(run, tmp_path):
    (tmp_path / "rack.csv").write_text(ITEMS)
    ran = run("value", "rack.csv")
    assert (ran.exit_code, ran.stdout) == (0, "")
    assert ran.stderr == "2 items priced in rack-valued.csv; none came back.\n"
    rows = rows_of((tmp_path / "rack-valued.csv").read_text("utf-8-sig"))
    assert [row["item"] for row in rows] == ["A1", "A2"]
    assert not (tmp_path / "rack-came-back.csv").exists()


def test_a_rack_and_the_desk_give_the_same_price(run, tmp_path):
    (tmp_path / "rack.csv").write_text(ITEMS)
    book = load_rule_book()
    valuer = Valuer(book, rules_alone(book), ShopTerms())
    row = rows_of(run("value", "rack.csv", "--out", "-", "--top", 5).stdout)[1]
    reading = one_reading(book, "jacket", {"hole": "seen_3", "fibre_shell": "wool"})
    values = valuer.value(reading)
    desk, best = explain(valuer, reading, values), next_checks(valuer, reading, values)[0]
    money = ("estimate", "low", "high")
    assert [row[name] for name in money] == [f"{getattr(desk, n) / 100:.2f}" for n in money]
    assert row["tier"] == desk.tier_name
    assert row["tier_chance"] == f"{values.chances[0, values.tier[0]]:.2f}"
    today = desk_over(valuer, Settings(), None, date(2026, 1, 1))
    (decided,) = decide(today, reading, values)
    # Nobody looked the rack over, so it says what is missing and gives no ticket.
    assert row["ticket"] == "" and row["reason"].startswith("look first: ")
    assert row["route"].lower().replace(" ", "_") == decided.route
    ranked = sorted(desk.contributions, key=lambda one: -abs(one.money))
    assert row["why"] == "; ".join(f"{one.name} {one.money / 100:+.2f}" for one in ranked)
    assert row["rests_on"] == "rule book alone"
    assert row["next_check"] == (best.signal.name if best.worth_it else "stop")


BESIDE = """Nummer;Artikel;Größe;gemessen;Pflegehinweise
B1;Hemd;M;52 cm;Nicht waschen, chemische Reinigung
B2;Hemd;M;about so;
B3;Hemd;L;;
"""


def test_tape_and_care_of_a_file_are_read_under_its_own_headings_and_said(run, tmp_path):
    (tmp_path / "rack.csv").write_text(BESIDE)
    ran = run("value", "rack.csv", "--out", "-", "--problems", "bad.csv")
    rows = {row["item"]: row for row in rows_of(ran.stdout)}
    assert set(rows) == {"B1", "B3"}
    assert "Water may spoil it." in rows["B1"]["care_says"] and "cm" in rows["B1"]["size_says"]
    assert rows["B3"]["care_says"] == rows["B3"]["size_says"] == ""
    (back,) = rows_of((tmp_path / "bad.csv").read_text("utf-8-sig"))
    assert back["nummer"] == "B2" and "about so" in back["reason"]


def test_bad_rows_come_back_and_the_first_is_told(run, tmp_path):
    (tmp_path / "rack.csv").write_text(ITEMS + "=A3,kite,,,,\n")
    ran = run("value", "rack.csv", "--out", "prices.csv", "--problems", "bad.csv")
    # 0 is only said where none came back.
    assert ran.exit_code == 1
    assert ran.stderr == (
        "  kind: 'kite' in 1 rows is not known\n"
        "2 items priced in prices.csv; 1 came back in bad.csv. Row 4, column kind: 'kite' is not a "
        f"kind; use one of {KINDS}.\n"
    )
    back = rows_of((tmp_path / "bad.csv").read_text("utf-8-sig"))
    assert (back[0]["item"], back[0]["kind"]) == ("'=A3", "kite")


def test_prices_on_the_screen_are_a_file_by_themselves(run, tmp_path):
    (tmp_path / "rack.csv").write_text(ITEMS.replace("A1", "=1+1"))
    ran = run("value", "rack.csv", "--out", "-", "--rules-only")
    assert [row["item"] for row in rows_of(ran.stdout)] == ["'=1+1", "A2"]
    assert ran.stderr == "2 items priced; none came back.\n"


def test_fewer_reasons_can_be_asked_for(run, tmp_path):
    (tmp_path / "rack.csv").write_text(ITEMS)
    rows = rows_of(run("value", "rack.csv", "--out", "-", "--top", 1).stdout)
    assert all(";" not in row["why"] for row in rows)
    assert rows_of(run("value", "rack.csv", "--out", "-", "--top", 0).stdout)[0]["why"] == ""


def test_a_shops_own_words_and_currency_are_used(run, tmp_path):
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "shop.toml").write_text(
        'currency = "JPY"\nleast_ticket = 1\n[tier_names]\n'
        + "\n".join(f'{tier.id} = "Step {tier.id}"' for tier in load_rule_book().book.tiers)
    )
    (tmp_path / "rack.csv").write_text(ITEMS)
    row = rows_of(run("value", "rack.csv", "--out", "-", "--folder", "shop").stdout)[0]
    assert row["tier"].startswith("Step ")
    assert "." not in row["estimate"] + row["why"]


def test_a_damaged_model_is_told_and_prices_follow_the_rules(run, tmp_path):
    (tmp_path / "rack.csv").write_text(ITEMS)
    (tmp_path / "shop" / "models").mkdir(parents=True)
    (tmp_path / "shop" / "models" / "manifest.json").write_text("{}")
    ran = run("value", "rack.csv", "--out", "-")
    assert ran.exit_code == 0
    assert ran.stderr.startswith("Prices follow the rule book alone: ")
    assert rows_of(ran.stdout)[0]["rests_on"] == "rule book alone"


def test_prices_of_the_invented_shop_say_on_every_row_that_they_are(run, tmp_path):
    (tmp_path / "rack.csv").write_text(ITEMS)
    ran = run("value", "rack.csv", "--out", "-", "--folder", shipped("demo_data"))
    assert all("invented sales" in row["rests_on"] for row in rows_of(ran.stdout))


# ---------------------------------------------------------------- learn
@pytest.mark.long
@pytest.mark.parametrize("layout", ["titled", "basket"])
def test_any_tills_file_teaches_each_thing_that_it_sold(run, tmp_path, layout):
    export = next(one for one in twenty() if f"-{layout}-" in one.name)
    (tmp_path / export.name).write_bytes(export.content)
    told = [part for word, kind in EXPLAINED.items() for part in ("--word", f"kind:{word}={kind}")]
    ran = run("learn", export.name, *told)
    # Beneath the titled rows stands their total, which is no sale.
    assert ran.exit_code == (layout == "titled"), ran.stderr
    assert f"Learned from {len(export.pieces)} sales" in ran.stdout


def test_prices_are_learned_kept_and_used(run, tmp_path, tiny_shop):
    ran = run("learn", "sold.csv", "--note", "first try")
    assert (ran.exit_code, ran.stderr) == (0, "")
    said = ran.stdout.splitlines()
    assert said[0] == "Learned from 60 sales: 30 boots, 30 shirts."
    assert "half of them lay within:" in said[2]
    kept = tmp_path / "shop" / "models"
    manifest = read_manifest(kept)
    assert said[-1] == f"Kept as {manifest.model_id} in {kept}."
    assert (manifest.note, manifest.sales) == ("first try", 60)
    assert manifest.data
    assert load_model(kept, tiny_shop).sales == 60
    (tmp_path / "rack.csv").write_text("kind,wear\nshirt,good\n")
    row = rows_of(run("value", "rack.csv", "--out", "-").stdout)[0]
    assert row["rests_on"] == "30 sales of this kind and 60 of all kinds"
    alone = rows_of(run("value", "rack.csv", "--out", "-", "--rules-only").stdout)[0]
    assert float(row["estimate"]) > float(alone["estimate"])


def test_learning_the_same_sales_twice_gives_the_same_prices(run, tmp_path, tiny_shop):
    run("learn", "sold.csv", "--out", "one")
    run("learn", "sold.csv", "--out", "two")
    one, two = (read_manifest(tmp_path / name) for name in ("one", "two"))
    assert (one.sha256, one.data) == (two.sha256, two.data)


def test_sales_that_cannot_be_read_are_left_out_and_come_back(run, tmp_path, tiny_shop):
    with (tmp_path / "sold.csv").open("a") as file:
        file.write("S60,shirt,thin,good,free,2026-01-01\n")
    ran = run("learn", "sold.csv")
    assert ran.stdout.startswith("Learned from 60 sales")
    assert ran.stderr == (
        "1 came back in sold-came-back.csv. Row 62, column price: 'free' is not an amount; write "
        "it like 12.50.\n"
    )
    assert (tmp_path / "sold-came-back.csv").exists()


def test_a_handful_of_sales_is_learned_without_boasting(run, tmp_path, tiny_shop):
    (tmp_path / "few.csv").write_text("kind,price,sold_on\nshirt,20,2026-01-01\n")
    ran = run("learn", "few.csv")
    assert ran.exit_code == 0
    assert "Fewer than 30 sales: too few to say how well this does." in ran.stdout


# ---------------------------------------------------------------- catalogue
def test_the_catalogue_names_every_signal_and_option(run):
    book = load_rule_book()
    said = json.loads(run("catalogue").stdout)
    assert [kind["id"] for kind in said["kinds"]] == list(book.kinds)
    for kind in said["kinds"]:
        found = {s["id"]: tuple(o["id"] for o in s["options"]) for s in kind["signals"]}
        assert found == {s.id: s.option_ids for s in book.kinds[kind["id"]].signals}
        assert all(signal["hands"] and signal["fools"] for signal in kind["signals"])


def test_the_catalogue_of_one_kind_is_that_kind(run):
    said = json.loads(run("catalogue", "--kind", "shoes").stdout)
    assert [kind["id"] for kind in said["kinds"]] == ["shoes"]


# ---------------------------------------------------------------- bad input
BAD = [
    (["value", "none.csv"], "none.csv: there is no such file; look at the name."),
    (["value", "."], ".: that is a folder; name a file in it."),
    (["value", "empty.csv"], "empty.csv: the file is empty; put a heading and rows in it."),
    (
        ["value", "kites.csv"],
        "kites.csv: no row could be read; 1 came back in kites-came-back.csv. Row 2, column kind: "
        f"'kite' is not a kind; use one of {KINDS}.",
    ),
    (
        ["value", "rack.csv", "--out", "rack.csv"],
        "rack.csv: a file would be written over another of this command; name other files with "
        "--out and --problems.",
    ),
    (
        ["value", "rack.csv", "--out", "nowhere/prices.csv"],
        "nowhere/prices.csv: the file cannot be written (No such file or directory); name another "
        "place.",
    ),
    (
        ["value", "rack.csv", "--top", "-1"],
        "invalid value for '--top': -1 is not in the range 0<=x<=50; see 'resale value --help'.",
    ),
    (["value"], "missing argument 'FILE'; see 'resale value --help'."),
    (
        ["value", "rack.csv", "--folder", "wrong"],
        "shop.toml: wage = -3 should be greater than or equal to 0; the default is 24.0.",
    ),
    (
        ["learn", "rack.csv"],
        "rack.csv: no column is taken for sold_on; add that column.",
    ),
    (
        ["learn", "unsold.csv"],
        "unsold.csv: no row could be read; Row 2, column sold_on: no date is given; write year, "
        "month and day like 2026-03-31.",
    ),
    (
        ["catalogue", "--kind", "kite"],
        f"kind 'kite' is not in the rule book; use one of {KINDS}.",
    ),
    (["open", "--port", "70000"], "invalid value for '--port': 70000 is not in the range"),
    (["vlaue"], "no such command 'vlaue'"),
    (["--vaule"], "no such option '--vaule'"),
]


@pytest.mark.parametrize(("words", "sentence"), BAD, ids=[" ".join(words) for words, _ in BAD])
def test_bad_input_gets_one_sentence_and_exit_code_two(run, tmp_path, words, sentence):
    (tmp_path / "rack.csv").write_text(ITEMS)
    (tmp_path / "empty.csv").touch()
    (tmp_path / "strange.csv").write_text("kind,moonlight\nshirt,blue\n")
    (tmp_path / "kites.csv").write_text("kind\nkite\n")
    (tmp_path / "unsold.csv").write_text("kind,price,sold_on\nshirt,5,\n")
    (tmp_path / "wrong").mkdir()
    (tmp_path / "wrong" / "shop.toml").write_text("wage = -3\n")
    ran = run(*words)
    assert (ran.exit_code, ran.stdout) == (2, "")
    assert ran.stderr.startswith(sentence)
    assert ran.stderr.count("\n") == 1
    assert ran.stderr.endswith(".\n")


def test_opening_a_shop_says_its_address_and_where_its_records_are(run, tmp_path, monkeypatch):
    served = []

    class Server:
        def run(self):
            served.append(True)

    monkeypatch.setattr("resale.web.http_server.http_server", lambda *_: Server())
    ran = run("open", "--port", 0, "--no-browser")
    assert (ran.exit_code, ran.stderr, served) == (0, "", [True])
    folder, address, link = ran.stdout.splitlines()
    assert folder == f"Records and shop.toml are in {tmp_path / 'shop'}"
    assert address.startswith(f"The shop is open at http://{cli_doors.HOST}:")
    assert ":0/" not in address
    assert "/enter/" in link and "no owner yet" in link


def test_a_shop_opened_to_the_network_is_warned_of_and_the_invented_one_is_not_opened(
    run, monkeypatch
):
    class Server:
        def run(self):
            pass

    monkeypatch.setattr("resale.web.http_server.http_server", lambda *_: Server())
    ran = run("open", "--port", 0, "--no-browser", "--host", EVERYWHERE)
    assert ran.stderr.startswith("CAUTION: the shop answers to everybody in the network")
    assert "https" in ran.stderr
    ran = run("open", "--demo", "--host", EVERYWHERE, "--port", 0, "--no-browser")
    assert ran.exit_code == 2
    assert "on this machine only" in ran.stderr


def test_a_link_lets_an_owner_in_again(run):
    ran = run("let-in")
    assert ran.exit_code == 0
    assert "for the first owner" in ran.stdout
    assert re.search(r"http://127.0.0.1:8765/enter/[\w-]{43}$", ran.stdout)
    ran = run("let-in", "Nobody")
    assert (ran.exit_code, ran.stderr) == (
        2,
        "nobody called 'Nobody' works here; name one of: nobody yet.\n",
    )


def test_a_port_in_use_is_told(run):
    with socket.socket() as taken:
        taken.bind((cli_doors.HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        ran = run("open", "--port", port, "--no-browser")
    assert ran.exit_code == 2
    assert f"port {port} cannot be used" in ran.stderr


def test_help_and_version_open_no_shop(run, tmp_path):
    said = run("--help").stdout
    assert all(name in said for name in ("open", "value", "catalogue", "learn"))
    assert "--app" not in said
    assert run("--version").stdout.startswith("resale ")
    assert list(tmp_path.iterdir()) == []
