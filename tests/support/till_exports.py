"""Files as tills export them, made from a seed: seven layouts, five languages, four encodings.

All invented. Words are a shop's own and not taken from the lists of the program: some of them it
knows, some have to be explained once, as `EXPLAINED` does.
"""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

import openpyxl
from openpyxl.utils.datetime import CALENDAR_MAC_1904

LAYOUTS = ("plain", "titled", "merged", "sheets", "serials", "bare", "basket")
LANGUAGES = ("en", "de", "fr", "it", "pl")
ENCODINGS = ("utf-8-sig", "utf-16-le", "windows", "dos")
CODEC = {
    ("windows", "pl"): "cp1250",
    ("dos", "pl"): "cp852",
    "windows": "cp1252",
    "dos": "cp850",
}
# day, kind of thing, maker, size, price, clerk, groups of two, quantity, price of one, receipt
HEADINGS = {
    "en": ("Date of sale", "Item", "Brand", "Size", "Amount (€)", "Clerk", "Sale", "Goods",
           "Qty", "Unit price", "Receipt no.", "Currency"),
    "de": ("Verkaufsdatum", "Artikel", "Marke", "Größe", "Betrag (€)", "Kassiererin", "Verkauf",
           "Ware", "Menge", "Einzelpreis", "Beleg-Nr.", "Währung"),
    "fr": ("Date de vente", "Désignation", "Marque", "Taille", "Montant", "Vendeuse", "Vente",
           "Produit", "Quantité", "Prix unitaire", "N° de ticket", "Devise"),
    "it": ("Data vendita", "Articolo", "Marca", "Taglia", "Importo", "Addetto", "Vendita", "Merce",
           "Quantità", "Prezzo unitario", "N. scontrino", "Valuta"),
    "pl": ("Data sprzedaży", "Towar", "Marka", "Rozmiar", "Kwota", "Kasjerka", "Sprzedaż",
           "Rzecz", "Ilość", "Cena jednostkowa", "Nr paragonu", "Waluta"),
}  # fmt: skip
THINGS = {
    "en": {"gents blazer": "jacket", "ladies boots": "shoes", "brogues": "shoes",
           "hand bag": "bag", "Dress shirt": "shirt", "cords": "trousers", "weekend case": "bag"},
    "de": {"Herrensakko": "jacket", "Stiefel": "shoes", "Lederhandtasche": "bag",
           "Hemd weiß": "shirt", "Jeans": "trousers", "Köfferchen": "bag", "Schlupfer": "shoes"},
    "fr": {"veste homme": "jacket", "bottines": "shoes", "sac à main": "bag",
           "chemise rayée": "shirt", "pantalon": "trousers", "cartable": "bag",
           "souliers": "shoes"},
    "it": {"giacca uomo": "jacket", "stivali": "shoes", "borsa": "bag", "camicia": "shirt",
           "pantaloni": "trousers", "zainetto": "bag", "però calzoni": "trousers"},
    "pl": {"marynarka męska": "jacket", "półbuty": "shoes", "torebka": "bag",
           "koszula": "shirt", "spodnie": "trousers", "teczka": "bag", "żakiet": "jacket"},
}  # fmt: skip
EXPLAINED = {
    "cords": "trousers", "weekend case": "bag", "köfferchen": "bag", "schlupfer": "shoes",
    "cartable": "bag", "souliers": "shoes", "zainetto": "bag", "però calzoni": "trousers",
    "teczka": "bag",
}  # fmt: skip
"""What an owner says once of the words that the program does not know."""
MAKERS = {
    "en": ("Harrowmere", "O'Dell & Fenn", "Café Noisette"),
    "de": ("Bärenfels", "Müllenhof", "Tröndle"),
    "fr": ("Élisande", "Façonnée", "Le Rhône"),
    "it": ("Belfiordaliso", "Città Lunga", "Perché No"),
    "pl": ("Świtezianka", "Łąkowa", "Żurawiec"),
}


@dataclass(frozen=True)
class Sale:
    day: date
    word: str
    maker: str
    size: str
    price: Decimal
    receipt: str
    pieces: int = 1


@dataclass(frozen=True)
class Export:
    name: str
    content: bytes
    sales: tuple[Sale, ...]
    language: str

    @property
    def pieces(self) -> list[tuple[date, str, int]]:
        """Day, kind and cents of every thing that was sold."""
        kinds = THINGS[self.language]
        return sorted(
            (sale.day, kinds[sale.word], cents)
            for sale in self.sales
            for cents in shares(int(sale.price * 100), sale.pieces)
        )


def shares(total: int, pieces: int) -> list[int]:
    return [total // pieces + (place < total % pieces) for place in range(pieces)]


def twenty(seed: int = 13) -> list[Export]:
    """Twenty files: every layout, language and encoding, in combinations that a seed picks."""
    chance = random.Random(seed)  # noqa: S311 - a seed, no secret
    plans = [
        (LAYOUTS[n % 7], LANGUAGES[(n + n // 7) % 5], ENCODINGS[(n + n // 4) % 4])
        for n in range(20)
    ]
    return [export(chance, *plan, number) for number, plan in enumerate(plans)]


def export(chance: random.Random, layout: str, language: str, encoding: str, number: int) -> Export:
    sales = tuple(_sales(chance, language, layout))
    name = f"{number:02d}-{layout}-{language}-{encoding}"
    if layout in ("sheets", "serials"):
        content = _workbook(sales, language, serials=layout == "serials")
        return Export(f"{name}.xlsx", content, sales, language)
    rows = list(_rows(sales, layout, language))
    codec = CODEC.get((encoding, language)) or CODEC.get(encoding, encoding)
    delimiter = {"en": ",", "de": ";", "fr": "\t", "it": ";", "pl": ";"}[language]
    stream = io.StringIO()
    csv.writer(stream, delimiter=delimiter).writerows(rows)
    text = stream.getvalue()
    if codec in ("cp850", "cp852"):
        text = text.replace("€", "EUR")
    return Export(f"{name}.csv", text.encode(codec), sales, language)


def _sales(chance: random.Random, language: str, layout: str) -> list[Sale]:
    day, sales = date(2024, 1, 3), []
    for receipt in range(1001, 1061):
        day += timedelta(days=chance.choice((0, 0, 1, 2, 5)))
        for _ in range(chance.choice((1, 1, 2))):
            word = chance.choice(list(THINGS[language]))
            price = Decimal(chance.choice((8, 10, 12, 15, 24, 38))) + chance.choice(
                (Decimal(0), Decimal("0.50"))
            )
            pieces = chance.choice((1, 1, 1, 2, 3)) if layout == "basket" else 1
            size = chance.choice(("S", "M", "40", "42½"[:2]))
            maker = chance.choice(MAKERS[language])
            sales.append(Sale(day, word, maker, size, price * pieces, str(receipt), pieces))
    return sales


def _rows(sales: Sequence[Sale], layout: str, language: str) -> list[list[str]]:
    head = HEADINGS[language]
    day, thing, maker, size, amount, clerk, sale_group, goods = head[:8]
    if layout == "bare":
        body = [[thing, amount, day]]
        return body + [[s.word, _money(s.price, language), _day(s.day, language)] for s in sales]
    if layout == "basket":
        rows = [[head[10], day, thing, head[8], head[9], amount.split(" (")[0], head[11]]]
        return rows + [
            [
                s.receipt,
                _day(s.day, language),
                s.word,
                str(s.pieces),
                _money(s.price / s.pieces, language),
                _money(s.price, language),
                "EUR",
            ]
            for s in sales
        ]
    plain = [
        [_day(s.day, language), s.word, s.maker, s.size, _money(s.price, language), "Ann"]
        for s in sales
    ]
    if layout == "merged":
        # Two cells over two columns each, as a spreadsheet saves merged cells to text.
        above = [sale_group, "", goods, "", "", ""]
        below = [day, clerk, thing, maker, size, amount]
        return [above, below, *([r[0], r[5], *r[1:5]] for r in plain)]
    rows = [[day, thing, maker, size, amount, clerk], *plain]
    if layout == "titled":
        total = sum((sale.price for sale in sales), Decimal(0))
        title = [["Export 2024", "", "", "", "", ""], ["Till 2", "", "", "", "", ""], [""] * 6]
        rows = [*title, *rows, ["", "", "", "", _money(total, language), ""]]
    return rows


def _workbook(sales: Sequence[Sale], language: str, *, serials: bool) -> bytes:
    book = openpyxl.Workbook()
    if serials:
        book.epoch = CALENDAR_MAC_1904
    day, thing, maker, size, amount, clerk = HEADINGS[language][:6]
    book.active.title = "Summary"
    book.active.append(["Whole year", "see the months"])
    months: dict[str, list[Sale]] = {}
    for sale in sales:
        months.setdefault("all" if serials else f"{sale.day:%Y-%m}", []).append(sale)
    for month, own in months.items():
        sheet = book.create_sheet(month)
        sheet.append([day, thing, maker, size, amount, clerk])
        for one in own:
            on = (one.day - date(1904, 1, 1)).days if serials else one.day
            sheet.append([on, one.word, one.maker, one.size, float(one.price), "Ann"])
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _money(amount: Decimal, language: str) -> str:
    text = f"{amount:.2f}"
    return text if language == "en" else text.replace(".", ",")


def _day(on: date, language: str) -> str:
    form = {"en": "%d/%m/%Y", "de": "%d.%m.%Y", "fr": "%d/%m/%Y", "it": "%d/%m/%y"}
    return on.strftime(form.get(language, "%Y-%m-%d"))
