"""Money and numbers by the shop's locale, on every page and by every command that says some."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from addresses import addresses
from click.testing import CliRunner
from flask import Flask
from flask.testing import FlaskClient
from signed_in import signed_in

from resale.cli.main import commands
from resale.money import Money
from resale.web import create_app
from resale.web.core.shop import Shop

# Swedish parts decimals with a comma and thousands with a space, so that a point between figures,
# or a comma before three of them, is the mark of another locale.
OTHER_MARKS = re.compile(r"(?<![\d.,:])\d{1,3}(?:,\d{3})*\.\d+(?![\d.])|(?<!\d)\d{1,3},\d{3}(?!\d)")
ROOT = Path(__file__).parents[3]
STEPS = "/drill/agreement"


class Words(HTMLParser):
    """What a reader gets of a page, and where its links lead. What stands in a field is typed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.links: list[str] = []
        self._aside = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        of = {name: value or "" for name, value in attrs}
        self._aside += tag in ("script", "style")
        self.links += [of["href"]] if tag == "a" and "href" in of else []
        self.words += [of[name] for name in ("title", "aria-label", "alt") if name in of]

    def handle_endtag(self, tag: str) -> None:
        self._aside -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        self.words += [] if self._aside else [" ".join(data.split())]


def in_other_marks(page: Words, written: str) -> Iterator[str]:
    """Numbers of a page in another locale's marks, but for sentences that somebody wrote so."""
    for words in page.words:
        for found in OTHER_MARKS.finditer(words):
            near = words[found.start() : found.end() + 1]
            if near not in written:
                yield near


def test_a_comma_locale_has_commas_and_yen_no_decimals() -> None:
    krona, yen = Money("SEK", "sv_SE"), Money("JPY", "ja_JP")
    # CLDR: Swedish writes decimals with a comma and groups with a space that does not break.
    assert krona.signed(560) == "+5,60" and krona.plain(123456) == "1\xa0234,56"
    assert krona.number(0.0325) == "0,0325" and krona.number(-1.5, 1, signed=True) == "-1,5"
    assert krona.about(38.286) == "38,29\xa0kr"
    assert (
        krona.in_words("0.62 (0.4 to 0.76). On 31.12.2026.") == "0,62 (0,4 to 0,76). On 31.12.2026."
    )
    assert yen.about(1200.4) == "￥1,200" and yen.plain(560) == "560"


@pytest.fixture
def swedish(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RESALE_LOCALE", "sv_SE")


def test_the_rail_and_a_command_by_such_a_locale(
    swedish: None, app: Flask, client: FlaskClient
) -> None:
    for page in ("/rail", "/tickets"):
        assert not list(in_other_marks(Words(client.get(page).text), "")), page
    shop: Shop = app.extensions["resale"]
    asked = ["ordinary", "--folder", str(shop.settings.data_folder)]
    said = CliRunner().invoke(commands, asked).output
    assert "€" in said and not OTHER_MARKS.search(said)


@pytest.mark.long
@pytest.mark.parametrize(
    ("locale", "currency", "marks"),
    [
        ("sv_SE", "SEK", OTHER_MARKS),
        ("en_US", "USD", re.compile(r"\d,\d{2}(?!\d)")),
        # The yen has no smaller unit.
        ("ja_JP", "JPY", re.compile(r"[¥￥] ?[\d,]+\.\d|[+−±]\d[\d,]*\.\d\d(?!\d)")),
    ],
)
def test_every_page_says_money_by_its_locale(
    locale: str,
    currency: str,
    marks: re.Pattern[str],
    tmp_path: Path,
    copy_of_demo: Callable[[Path], Path],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("RESALE_LOCALE", locale)
    monkeypatch.setenv("RESALE_CURRENCY", currency)
    monkeypatch.setattr("test_money_by_locale.OTHER_MARKS", marks)
    app = create_app(copy_of_demo(tmp_path / "shop"))
    client, found = signed_in(app, "owner"), []
    written = _written()
    todo, seen = addresses(app), set[str]()
    for path in todo:
        shape = re.sub(r"\d+", "0", path.split("#")[0])
        # How far readers part is said in steps of a ladder, which look like amounts of it.
        if shape in seen or path.startswith(("/static", "/sign-out", "/bench-", STEPS)):
            continue
        seen.add(shape)
        with client.get(path) as answer:
            if answer.status_code == 200 and answer.mimetype == "text/html":
                page = Words(answer.text)
                todo += [link for link in page.links if link.startswith("/")]
                found += [f"{path}: {near}" for near in in_other_marks(page, written)]
    assert len(seen) > 60
    assert found == [], "\n".join(found)


def _written() -> str:
    """All that is written in templates, rule book and code, strings over two lines joined."""
    files = [
        path
        for folder in ("resale", "templates")
        for path in (ROOT / folder).rglob("*")
        if path.suffix in (".py", ".toml", ".html")
    ]
    texts = [re.sub(r'"\s*\n\s*f?"', "", path.read_text("utf-8")) for path in files]
    return " ".join(" ".join(text.split()) for text in texts)
