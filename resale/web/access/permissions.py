"""The table of who may do what: for every address its least role, and whether it changes anything.

An address that is not in the table is the owner's alone, and a test finds it missing.
"""

from __future__ import annotations

from typing import NamedTuple

from resale.storage.people.people import Role


class Permission(NamedTuple):
    """What an address asks of whoever comes to it.

    Attributes
    ----------
    least : str
        The least role that may.
    written_down : str
        `BY_ITS_SERVICE` where it changes something; empty where it changes nothing, or only what
        is its person's alone.
    """

    least: Role
    written_down: str = ""


OPEN = frozenset(
    {
        "static",
        "bench_shell.worker",
        "sign_in.ask",
        "sign_in.let_in",
        "sign_in.enter",
        "sign_in.take_up",
        "second_step.ask",
        "second_step.do",
    }
)
"""Open to anybody. The API (``api.*``) asks for a token of its own."""

BY_ITS_SERVICE = "by its service"
"""A change: the use case writes its line of the audit log in the transaction that changes it."""

OPEN_BLUEPRINTS = frozenset({"api"})

_SORTER: dict[str, str] = {
    "agreement.page": "",
    "bench.accept_usual": "",
    "bench.found_none": "",
    "bench.kinds": "",
    "bench.look": "",
    "bench.nothing_found": "",
    "bench.open_bench": "",
    "bench.save": BY_ITS_SERVICE,
    "dating.page": "",
    "label_photo.read": "",
    "bench_shell.bare_bench": "",
    "bench_shell.kinds": "",
    "bench_shell.token": "",
    "api_page.about": "",
    "sign_in.new_password": BY_ITS_SERVICE,
    "sign_in.sign_out": BY_ITS_SERVICE,
    "sign_in.sign_out_everywhere": BY_ITS_SERVICE,
    "sign_in.you": "",
    "drill.answer": "",
    "drill.card": "",
    "drill.done": "",
    "drill.drawing": "",
    "drill.home": "",
    "drill.start": "",
    "courses.mine": "",
    "evidence.page": "",
    "evidence.plot": "",
    "holds.hold_it": BY_ITS_SERVICE,
    "holds.treated": BY_ITS_SERVICE,
    "holds.listed": "",
    "holds.one": "",
    "holds.slip": "",
    "items.listed": "",
    "items.one": "",
    "ledger.happened": BY_ITS_SERVICE,
    "ledger.home": "",
    "ledger.item": "",
    "ledger.quiet": BY_ITS_SERVICE,
    "ledger.undo": BY_ITS_SERVICE,
    "similar_sales.nearest": "",
    "own_steps.app": BY_ITS_SERVICE,
    "own_steps.codes": BY_ITS_SERVICE,
    "own_steps.first_code": BY_ITS_SERVICE,
    "own_steps.listed": "",
    "own_steps.off": BY_ITS_SERVICE,
    "own_steps.passkey": "",
    "own_steps.passkey_made": BY_ITS_SERVICE,
    "own_steps.show_seed": "",
    "photos.add": BY_ITS_SERVICE,
    "photos.in_front": BY_ITS_SERVICE,
    "photos.one": "",
    "photos.picture": "",
    "photos.shows": BY_ITS_SERVICE,
    "prices.listed": "",
    "rail.choice": "",
    "rail.one": "",
    "rail.repriced": "",
    "rail.table": "",
    "rules.kind": "",
    "rules.kinds": "",
    "rules.signal": "",
    "second_looks.day": "",
    "second_looks.look": BY_ITS_SERVICE,
    "second_looks.open_item": "",
    "team_progress.own": "",
    "till.basket": "",
    "till.close": BY_ITS_SERVICE,
    "till.sell": BY_ITS_SERVICE,
    "tickets.find": "",
    "tickets.printed": "",
    "tickets.sheet": "",
    "tickets.trial": "",
    "whole_items.open_item": "",
    "whole_items.pick": "",
    "whole_items.read": "",
    "whole_items.result": "",
    "jobs.look": "",
}
_LEAD: dict[str, str] = {
    "calibration.doubt": BY_ITS_SERVICE,
    "calibration.draw": BY_ITS_SERVICE,
    "calibration.open_item": "",
    "calibration.page": "",
    "calibration.read": BY_ITS_SERVICE,
    "team_progress.alone": BY_ITS_SERVICE,
    "courses.end": BY_ITS_SERVICE,
    "courses.join": BY_ITS_SERVICE,
    "courses.listed": "",
    "courses.make": BY_ITS_SERVICE,
    "courses.new": "",
    "courses.one": "",
    "team_progress.listed": "",
    "team_progress.one": "",
    "team_progress.order": BY_ITS_SERVICE,
    "team_progress.together": BY_ITS_SERVICE,
    "accounts.close": BY_ITS_SERVICE,
    "accounts.close_month": BY_ITS_SERVICE,
    "accounts.file": "",
    "accounts.move": BY_ITS_SERVICE,
    "accounts.open_paper": "",
    "accounts.paper": "",
    "accounts.pay_list": BY_ITS_SERVICE,
    "accounts.payment_list": "",
    "accounts.payments": "",
    "accounts.statement": "",
    "accounts.undo": BY_ITS_SERVICE,
    "consignors.add_items": BY_ITS_SERVICE,
    "consignors.listed": "",
    "consignors.one": "",
    "consignors.rename": BY_ITS_SERVICE,
    "consignors.save": BY_ITS_SERVICE,
    "consignors.share": BY_ITS_SERVICE,
    "consignors.take_in_file": "",
    "consignors.take_in_paper": "",
    "consignors.take_off": BY_ITS_SERVICE,
    "erasure.ask": "",
    "erasure.forget": BY_ITS_SERVICE,
    "holds.away": BY_ITS_SERVICE,
    "holds.clear": BY_ITS_SERVICE,
    "labels.call_it": BY_ITS_SERVICE,
    "labels.listed": "",
    "ledger.correct": BY_ITS_SERVICE,
    "ledger.line": "",
    "ordinary.ask": "",
    "ordinary.state": BY_ITS_SERVICE,
    "photos.remove": BY_ITS_SERVICE,
    "photos.teaches": BY_ITS_SERVICE,
    "prices.learn_again": BY_ITS_SERVICE,
    "rail.away": BY_ITS_SERVICE,
    "rail.marks": BY_ITS_SERVICE,
    "rail.price_by_hand": BY_ITS_SERVICE,
    "rail.put_out": BY_ITS_SERVICE,
    "rail.reprice": BY_ITS_SERVICE,
    "rail.ticket": BY_ITS_SERVICE,
    "replayed.one": "",
    "rules.consider": "",
    "rules.draft": "",
    "rules.save": BY_ITS_SERVICE,
    "rules.work_out_again": "",
    "rules.take_back": "",
    "second_looks.draw": BY_ITS_SERVICE,
}
_OWNER: dict[str, str] = {
    "imports.ask": "",
    "imports.came_back": "",
    "imports.load_all": BY_ITS_SERVICE,
    "imports.say": "",
    "imports.tried": "",
    "imports.upload": "",
    "backups.download": BY_ITS_SERVICE,
    "backups.listed": "",
    "backups.make": BY_ITS_SERVICE,
    "chain.move": BY_ITS_SERVICE,
    "chain.page": "",
    "audit_log.listed": "",
    "audit_log.file": "",
    "devices.add": BY_ITS_SERVICE,
    "devices.listed": "",
    "devices.revoke": BY_ITS_SERVICE,
    "ledger.take_out": BY_ITS_SERVICE,
    "prices.switch": BY_ITS_SERVICE,
    "rates.listed": "",
    "stock_files.ask": "",
    "stock_files.came_back": "",
    "stock_files.load_all": BY_ITS_SERVICE,
    "stock_files.people": BY_ITS_SERVICE,
    "stock_files.say": "",
    "stock_files.tried": "",
    "stock_files.upload": "",
    "rates.state": BY_ITS_SERVICE,
    "settings.group": "",
    "settings.listed": "",
    "settings.look": "",
    "settings.save": BY_ITS_SERVICE,
    "team.add": BY_ITS_SERVICE,
    "team.change": BY_ITS_SERVICE,
    "team.go": BY_ITS_SERVICE,
    "team.link": BY_ITS_SERVICE,
    "team.listed": "",
    "team.no_second_step": BY_ITS_SERVICE,
    "team.sign_out": BY_ITS_SERVICE,
}
PERMISSIONS: dict[str, Permission] = {
    **{name: Permission("sorter", written) for name, written in _SORTER.items()},
    **{name: Permission("lead", written) for name, written in _LEAD.items()},
    **{name: Permission("owner", written) for name, written in _OWNER.items()},
}
UNLISTED = Permission("owner")


def permission_for(endpoint: str) -> Permission:
    """What an address asks of whoever comes to it."""
    return PERMISSIONS.get(endpoint, UNLISTED)


def is_open(endpoint: str) -> bool:
    """Whether an address is open to anybody, or looks after itself."""
    return endpoint in OPEN or endpoint.split(".", maxsplit=1)[0] in OPEN_BLUEPRINTS
