"""Consignors: who brought what, at which share, and the take-in sheet that they sign."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from io import BytesIO

from babel.dates import format_date
from flask import Blueprint, Response, redirect, render_template, request, send_file, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from resale.errors import ReadingError
from resale.selling.consignment.csv import take_in_csv
from resale.selling.consignment.double_entry import PAYMENTS
from resale.services.consignors.save_consignor import save_consignor
from resale.services.items.entry import new_key
from resale.services.on_hand.parts import parts_numbered
from resale.services.settlement.consigned import agree_share, bring_items, take_item_off
from resale.services.settlement.owed import due_to, dues_now
from resale.services.settlement.statements import open_statement
from resale.services.settlement.take_in_sheet import agreed_with, brought_by, take_in_of
from resale.storage.ledger.consignors import consignor_numbered, consignors
from resale.storage.settlement.closed_statements import closed_statements
from resale.storage.settlement.statements import moves_of
from resale.web.access.current_user import me
from resale.web.core.item_number import number_in
from resale.web.core.shop import Shop, shop_now
from resale.web.core.wording import STANDS

screen = Blueprint("consignors", __name__, url_prefix="/consignors")
PDF, CSV = "application/pdf", "text/csv; charset=utf-8"


@screen.get("")
def listed() -> ResponseReturnValue:
    """List consignors, each with what is owed to them."""
    shop, _ = shop_now()
    due = {one.number: one.owed for one in dues_now(shop)}
    lines = consignors(shop.records)
    return render_template("ledger/statements/list.html", lines=lines, due=due)


@screen.post("")
def save() -> ResponseReturnValue:
    """Keep a consignor."""
    shop, at = shop_now()
    form = request.form
    number = save_consignor(shop.records, me(), form.get("number", ""), form.get("name", ""), at)
    return redirect(url_for("consignors.one", number=number), 303)


@screen.get("/<number>")
def one(number: str) -> ResponseReturnValue:
    """Show what is owed to a consignor and why, and what they brought."""
    shop, at = shop_now()
    with Session(shop.records) as session:
        closed, moves = closed_statements(session, number), moves_of(session, number)
    return render_template(
        "ledger/statements/one.html",
        consignor=consignor_numbered(shop.records, number),
        open=open_statement(shop, number, at.date()),
        closed=closed,
        due=due_to(shop, number),
        share=agreed_with(shop, number)[1],
        brought=brought_by(shop, number),
        moves=moves,
        stands=STANDS,
        payments=PAYMENTS,
        today=at.date(),
        key=new_key,
        now=request.args.get("now", ""),
    )


@screen.post("/<number>/name")
def rename(number: str) -> ResponseReturnValue:
    """Give a consignor another name."""
    shop, at = shop_now()
    known = consignor_numbered(shop.records, number).number
    name = request.form.get("name", "")
    save_consignor(shop.records, me(), known, name, at, renames=True)
    return redirect(url_for("consignors.one", number=known, now="named"), 303)


@screen.post("/<number>/brings")
def add_items(number: str) -> ResponseReturnValue:
    """Write down what a consignor brought."""
    shop, at = shop_now()
    typed = request.form.get("items", "")[:4000].replace(",", " ").split()
    if not typed:
        raise ReadingError("no item is named", where="Items", remedy="type at least one number")
    share = read_share(request.form.get("share", ""))
    bring_items(shop, me(), number, [number_in(one) for one in typed], at, share)
    return redirect(url_for("consignors.one", number=number), 303)


@screen.post("/<number>/takes-off")
def take_off(number: str) -> ResponseReturnValue:
    """Undo that a consignor brought an item."""
    shop, at = shop_now()
    take_item_off(shop, me(), number, request.form.get("item", "")[:40], at)
    return redirect(url_for("consignors.one", number=number), 303)


@screen.post("/<number>/share")
def share(number: str) -> ResponseReturnValue:
    """Agree another share with a consignor, or for one item."""
    shop, at = shop_now()
    agreed = read_share(request.form.get("share", ""))
    if agreed is None:
        raise ReadingError("no share is given", where="share", remedy="write it in percent")
    agree_share(shop, me(), number, agreed, at, request.form.get("item", "")[:40].strip())
    return redirect(url_for("consignors.one", number=number, now="share"), 303)


@screen.get("/<number>/take-in.pdf")
def take_in_paper(number: str) -> ResponseReturnValue:
    """Give the take-in sheet to sign."""
    shop, at = shop_now()
    sheet = take_in_of(shop, number, at.date(), _proposed(shop, number, at.date()))
    # What draws on paper takes a second to load; a day at the desk may need none of it.
    from resale.selling.consignment.pdf import take_in_pdf  # noqa: PLC0415

    def write_day(day: date) -> str:
        return format_date(day, "d MMM y", locale=shop.settings.locale)

    pdf = take_in_pdf(sheet, shop.money, write_day=write_day)
    return as_file(pdf, PDF, f"take-in-{sheet.consignor.number}.pdf")


@screen.get("/<number>/take-in.csv")
def take_in_file(number: str) -> ResponseReturnValue:
    """Give the take-in sheet as a file."""
    shop, at = shop_now()
    sheet = take_in_of(shop, number, at.date(), _proposed(shop, number, at.date()))
    return as_file(take_in_csv(sheet, shop.money), CSV, f"take-in-{sheet.consignor.number}.csv")


def read_share(text: str) -> Decimal | None:
    """Read a share as people write it, in percent; None where none is given.

    Raises
    ------
    ReadingError
        If it is none from 0 to 100.
    """
    plain = text.strip().removesuffix("%").strip().replace(",", ".")
    if not plain:
        return None
    if not plain.replace(".", "", 1).isdecimal() or not 0 <= Decimal(plain) <= 100:
        raise ReadingError(
            f"{text[:20]!r} is no share", where="share", remedy="write percent, such as 50"
        )
    return Decimal(plain) / 100


def as_file(content: bytes, kind: str, name: str) -> Response:
    """Answer with a file.

    Parameters
    ----------
    content : bytes
    kind : str
        Media type.
    name : str
        Under which a browser saves it.
    """
    return send_file(BytesIO(content), kind, download_name=name)


def _proposed(shop: Shop, number: str, today: date) -> dict[str, int | None]:
    """First prices by the plan, of what bears no ticket yet; None where none is proposed."""
    brought = [life.number for life in brought_by(shop, number)]
    return {
        line.number: None if line.unpriced else line.price
        for rail in parts_numbered(shop, today, brought)
        for line in rail.lines
        if not line.written
    }
