"""Tickets: onto which labels, from which one on, and the sheet itself."""

from __future__ import annotations

from io import BytesIO

from flask import Blueprint, redirect, render_template, request, send_file, url_for
from flask.typing import ResponseReturnValue

from resale.selling.tickets.label_stock import STOCKS, stock_named
from resale.services.rail.rail_events import refuse_held
from resale.services.rail.ticket_paper import lost_on_tickets, tickets_paper
from resale.web.core.item_number import number_in
from resale.web.core.shop import shop_now
from resale.web.rail.ticket_words import tickets_asked
from resale.web.rail.views import lines_numbered

screen = Blueprint("tickets", __name__, url_prefix="/tickets")


@screen.get("")
def sheet() -> ResponseReturnValue:
    """Choose labels and the first free one for the items picked, or for all put out today."""
    shop, at = shop_now()
    lines, held = tickets_asked(shop, request.args, at.date())
    stock = stock_named(request.args.get("stock", shop.settings.ticket_stock))
    return render_template(
        "rail/tickets.html",
        lines=lines,
        held=held,
        stocks=STOCKS,
        stock=stock,
        query=request.args,
        lost=lost_on_tickets(shop, lines),
    )


@screen.get("/print")
def printed() -> ResponseReturnValue:
    """Give the tickets as a PDF; the same tickets give the same sheet, so it can be had again."""
    shop, at = shop_now()
    lines, held = tickets_asked(shop, request.args, at.date())
    # Of all that went out today the held ones are left out; one that was picked is refused.
    if not request.args.get("today"):
        refuse_held(held)
    start, stock = request.args.get("start", 1, type=int), request.args.get("stock", "")
    pdf = tickets_paper(shop, lines, at.date(), stock=stock, start=start)
    return send_file(BytesIO(pdf), "application/pdf", download_name=f"tickets-{at.date()}.pdf")


@screen.get("/test-print")
def trial() -> ResponseReturnValue:
    """Give a sheet of outlines and a ruler, to be held against the labels."""
    stock = stock_named(request.args.get("stock", shop_now()[0].settings.ticket_stock))
    # What draws on paper takes a second to load; a day at the desk may need none of it.
    from resale.selling.tickets.test_print import trial_sheet_pdf  # noqa: PLC0415

    pdf = trial_sheet_pdf(stock)
    return send_file(BytesIO(pdf), "application/pdf", download_name=f"test-print-{stock.id}.pdf")


@screen.get("/find")
def find() -> ResponseReturnValue:
    """Open the item that was scanned or typed, whatever the ticket's mark holds."""
    shop, at = shop_now()
    number = number_in(request.args.get("number", ""))
    line = lines_numbered(shop, at.date(), [number])[0]
    return redirect(url_for("rail.one", number=line.number), 303)
