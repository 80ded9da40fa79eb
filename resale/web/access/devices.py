"""The shop's devices: let one in, shut one out, and the page on how they ask."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.storage.people.devices import (
    LONGEST_NAME,
    SCOPES,
    Device,
    DeviceError,
    add_device,
    devices,
    revoke_device,
)
from resale.web.access.current_user import done_to, my_name
from resale.web.api.openapi import addresses
from resale.web.api.operations import Operation
from resale.web.api.problems import TYPES
from resale.web.api.requests import MOST_ITEMS
from resale.web.api.tokens import REQUESTS
from resale.web.core.shop import current_shop

screen = Blueprint("devices", __name__)
MAY = {
    "read": "look, and value without keeping",
    "save": "save items, and hold them",
    "sell": "write down what is sold, returned, put out",
    "clear": "clear holds, on the word of a lead whom it names",
}


@dataclass(frozen=True)
class Address:
    """One line of the page about the API."""

    method: str
    path: str
    asks: Operation


@screen.get("/devices")
def listed() -> ResponseReturnValue:
    """List the devices, and ask for another."""
    return _page()


@screen.post("/devices")
def add() -> ResponseReturnValue:
    """Let a device in and show its token, this once."""
    shop, form = current_shop(), request.form
    name, scopes = form.get("name", ""), form.getlist("may")
    try:
        device, secret = add_device(shop.records, name, scopes, shop.now(), my_name())
    except DeviceError as fault:
        return make_response(_page(fault=fault.sentence, name=name, picked=scopes), 422)
    done_to(device.name)
    answer = make_response(_page(device, secret))
    # The page holds a secret: neither the browser's store nor its way back may show it again.
    answer.headers["Cache-Control"] = "no-store"
    return answer


@screen.post("/devices/<int:device>/revoke")
def revoke(device: int) -> ResponseReturnValue:
    """Shut a device out."""
    shop = current_shop()
    done_to(revoke_device(shop.records, device, shop.now()).name)
    return redirect(url_for("devices.listed"), 303)


@screen.get("/api")
def about() -> ResponseReturnValue:
    """Tell whoever writes for a device how it asks."""
    return render_template(
        "api/about.html",
        addresses=[Address(method, path, asks) for path, method, asks in addresses()],
        problems=TYPES.values(),
        most_items=MOST_ITEMS,
        requests=REQUESTS.amount,
    )


def _page(
    device: Device | None = None,
    secret: str = "",
    *,
    fault: str = "",
    name: str = "",
    picked: list[str] | None = None,
) -> str:
    return render_template(
        "access/devices.html",
        lines=devices(current_shop().records),
        scopes=SCOPES,
        may=MAY,
        longest=LONGEST_NAME,
        new=device,
        secret=secret,
        fault=fault,
        name=name,
        picked=picked or ["read"],
    )
