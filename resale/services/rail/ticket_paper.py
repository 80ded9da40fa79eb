"""Tickets on paper, the same from every door."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from resale.selling.tickets.label_stock import stock_named
from resale.selling.tickets.lost_letters import lost_letters
from resale.selling.tickets.ticket import Ticket
from resale.services.items.beside_signs import ticket_lines
from resale.services.on_hand.lines import RailLine
from resale.services.rail.rail_events import refuse_held
from resale.services.shop import Shop
from resale.storage.items.newest_inputs import newest_inputs
from resale.storage.ledger.holds import refuse_if_held


def ticket_of(shop: Shop, line: RailLine, today: date, beside: tuple[str, ...] = ()) -> Ticket:
    """Say what a ticket says; its date mark is today's, when it goes out at this price.

    Parameters
    ----------
    shop : Shop
    line : RailLine
        The item on hand.
    today : date
    beside : tuple of str
        Lines for the buyer.
    """
    address = shop.settings.ticket_address.rstrip("/")
    return Ticket(
        line.number,
        line.kind_name,
        line.size,
        line.price,
        line.out or today,
        line.tier,
        line.tier_name,
        f"{address}/ledger?number={line.number}" if address else "",
        beside=beside,
    )


def lost_on_tickets(shop: Shop, lines: Sequence[RailLine]) -> str:
    """Say which words of some tickets no typeface here has the letters for.

    Parameters
    ----------
    shop : Shop
        Its name heads each ticket.
    lines : sequence of RailLine
        What gets a ticket.

    Returns
    -------
    str
        One sentence; empty where all of it prints.
    """
    entered = newest_inputs(shop.records, [line.number for line in lines])
    words = [
        (line.kind_name, line.size, line.tier_name, ticket_lines(entered.get(line.number, {})))
        for line in lines
    ]
    return lost_letters([shop.settings.name if lines else "", words])


def tickets_paper(
    shop: Shop, lines: Sequence[RailLine], today: date, *, stock: str = "", start: int = 1
) -> bytes:
    """Print tickets as PDF; the same tickets give the same sheet, so it can be had again.

    Parameters
    ----------
    lines : sequence of RailLine
        What gets a ticket.
    today : date
        The shop's own day.
    stock : str
        Id of a label stock; the shop's own where empty.
    start : int
        First free label of the sheet, from 1.

    Raises
    ------
    RailFormError, HeldError
        If one of them gets no ticket.
    """
    refuse_held(lines)
    refuse_if_held(shop.records, [line.number for line in lines])
    entered = newest_inputs(shop.records, [line.number for line in lines])
    tickets = [
        ticket_of(shop, line, today, ticket_lines(entered.get(line.number, {}))) for line in lines
    ]
    # What draws on paper takes a second to load; a day at the desk may need none of it.
    from resale.selling.tickets.print_tickets import tickets_pdf  # noqa: PLC0415

    labels = stock_named(stock or shop.settings.ticket_stock)
    return tickets_pdf(tickets, labels, shop.money, shop=shop.settings.name, start=start)
