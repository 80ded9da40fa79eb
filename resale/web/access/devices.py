"""The shop's devices: let one in, shut one out."""

from __future__ import annotations

from flask import Blueprint, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from resale.services.people.devices import add_device, revoke_device
from resale.storage.people.devices import (
    LONGEST_NAME,
    SCOPES,
    Device,
    DeviceError,
    devices,
)
from resale.web.access.current_user import me
from resale.web.core.shop import current_shop

screen = Blueprint("devices", __name__)
MAY = {
    "read": "look, and value without keeping",
    "save": "save items, and hold them",
    "sell": "write down what is sold, returned, put out",
    "clear": "clear holds, on the word of a lead whom it names",
}


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
        device, secret = add_device(shop.records, me(), name, scopes, shop.now())
    except DeviceError as fault:
        return make_response(_page(fault=fault.sentence, name=name, picked=scopes), 422)
    answer = make_response(_page(device, secret))
    # The page holds a secret: neither the browser's store nor its way back may show it again.
    answer.headers["Cache-Control"] = "no-store"
    return answer


@screen.post("/devices/<int:device>/revoke")
def revoke(device: int) -> ResponseReturnValue:
    """Shut a device out."""
    shop = current_shop()
    revoke_device(shop.records, me(), device, shop.now())
    return redirect(url_for("devices.listed"), 303)


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
