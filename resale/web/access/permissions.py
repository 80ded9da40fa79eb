"""The table of who may do what: for every address its least role, and what a change is called.

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
    action : str
        What is written down of it where it changed something; empty where it changes nothing,
        `BY_ITS_SERVICE` where the use case does.
    """

    least: Role
    action: str = ""


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
"""What is written down of a change whose use case writes its own line, with what it changes."""

OPEN_BLUEPRINTS = frozenset({"api"})

_SORTER: dict[str, str] = {
    "agreement.page": "",
    "bench.found_none": "",
    "bench.kinds": "",
    "bench.look": "",
    "bench.nothing_found": "",
    "bench.open_bench": "",
    "bench.save": BY_ITS_SERVICE,
    "bench_shell.bare_bench": "",
    "bench_shell.kinds": "",
    "bench_shell.token": "",
    "devices.about": "",
    "sign_in.new_password": "changed their password",
    "sign_in.sign_out": "signed out",
    "sign_in.sign_out_everywhere": "signed out everywhere",
    "sign_in.you": "",
    "drill.answer": "",
    "drill.card": "",
    "drill.done": "",
    "drill.drawing": "",
    "drill.home": "",
    "drill.start": "",
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
    "ledger.undo": BY_ITS_SERVICE,
    "similar_sales.nearest": "",
    "own_steps.app": "began to set an app up as second step",
    "own_steps.codes": "made new codes for a bad day",
    "own_steps.first_code": "set an app up as second step",
    "own_steps.listed": "",
    "own_steps.off": "took a second step off",
    "own_steps.passkey": "",
    "own_steps.passkey_made": "set a passkey up as second step",
    "own_steps.show_seed": "",
    "photos.add": "added photos",
    "photos.one": "",
    "photos.picture": "",
    "photos.shows": "said what a photo shows",
    "prices.listed": "",
    "rail.choice": "",
    "rail.one": "",
    "rail.repriced": "",
    "rail.table": "",
    "rules.kind": "",
    "rules.kinds": "",
    "rules.signal": "",
    "second_looks.day": "",
    "second_looks.look": "took a second look",
    "second_looks.open_item": "",
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
    "team_progress.listed": "",
    "team_progress.one": "",
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
    "consignors.save": "added a consignor",
    "consignors.share": BY_ITS_SERVICE,
    "consignors.take_in_file": "",
    "consignors.take_in_paper": "",
    "consignors.take_off": BY_ITS_SERVICE,
    "erasure.ask": "",
    "erasure.forget": "forgot a consignor",
    "holds.away": BY_ITS_SERVICE,
    "holds.clear": BY_ITS_SERVICE,
    "labels.call_it": BY_ITS_SERVICE,
    "labels.listed": "",
    "ledger.correct": BY_ITS_SERVICE,
    "ledger.line": "",
    "photos.remove": "removed a photo",
    "photos.teaches": "looked whether a photo is good for teaching",
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
    "rules.take_back": "took a change of the rule book back",
    "second_looks.draw": "drew items for a second look",
}
_OWNER: dict[str, str] = {
    "imports.ask": "",
    "imports.came_back": "",
    "imports.load_all": "loaded past sales",
    "imports.say": "",
    "imports.tried": "",
    "imports.upload": "",
    "backups.download": "took a copy of the shop away",
    "backups.listed": "",
    "backups.make": "kept a copy of the shop",
    "audit_log.listed": "",
    "audit_log.file": "",
    "devices.add": "let a device in",
    "devices.listed": "",
    "devices.revoke": "shut a device out",
    "ledger.take_out": "took the records out",
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
    # Writes a line of its own for each setting, in the transaction that changes it.
    "settings.save": "",
    "team.add": "let somebody in",
    "team.change": "gave somebody another role",
    "team.go": "let somebody go",
    "team.link": "made an entry link",
    "team.listed": "",
    "team.no_second_step": "took somebody's second step off",
    "team.sign_out": "signed somebody out",
}
PERMISSIONS: dict[str, Permission] = {
    **{name: Permission("sorter", action) for name, action in _SORTER.items()},
    **{name: Permission("lead", action) for name, action in _LEAD.items()},
    **{name: Permission("owner", action) for name, action in _OWNER.items()},
}
UNLISTED = Permission("owner", "did something unlisted")


def permission_for(endpoint: str) -> Permission:
    """What an address asks of whoever comes to it."""
    return PERMISSIONS.get(endpoint, UNLISTED)


def is_open(endpoint: str) -> bool:
    """Whether an address is open to anybody, or looks after itself."""
    return endpoint in OPEN or endpoint.split(".", maxsplit=1)[0] in OPEN_BLUEPRINTS
