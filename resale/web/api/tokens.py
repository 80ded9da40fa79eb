"""Who asks: the bearer token of a device (RFC 6750), what it may do, and how often."""

from __future__ import annotations

import re
from time import time
from typing import cast

from flask import current_app, g, request
from limits import RateLimitItem, parse

from resale.services.actor import Actor
from resale.storage.people.devices import Device, device_with, note_use
from resale.web.api.operations import OPERATIONS, Scope
from resale.web.core.problems import ApiError
from resale.web.core.rate_limits import limiter
from resale.web.core.shop import current_shop

REALM = 'Bearer realm="shop"'
# A guess at 256 bits never hits; the limit keeps a broken device from filling the log.
WRONG_TOKENS = parse("20/minute")
REQUESTS = parse("600/minute")
# RFC 6750, section 2.1; the scheme's name is read in any case (RFC 9110, section 11.1).
_BEARER = re.compile(r"bearer +(?P<token>[A-Za-z0-9._~+/-]{1,200}=*)", re.IGNORECASE)


def check_token() -> None:
    """Let a request through where its token may; cookies are never looked at.

    Raises
    ------
    ApiError
        If there is no token that is known, it may not do this, or asks too often.
    """
    operation = OPERATIONS.get(request.endpoint or "")
    if operation is None or operation.scope is None:
        return
    device = _device()
    _count(REQUESTS, f"device {device.id}")
    if operation.scope not in device.scopes:
        raise _not_allowed(device, operation.scope)
    shop = current_shop()
    note_use(shop.records, device, shop.now())
    g.device = device


def current_device() -> Device:
    """The device that asks now."""
    return cast("Device", g.device)


def this_device() -> Actor:
    """The device that asks now, as the use cases ask for it."""
    return Actor(current_device().name, "device")


def _device() -> Device:
    given = request.headers.get("Authorization")
    if given is None:
        # RFC 6750, section 3.1: who brought no token at all is told no error code.
        raise ApiError("no-token", "no token came along", headers={"WWW-Authenticate": REALM})
    found = _BEARER.fullmatch(given.strip())
    device = device_with(current_shop().records, found["token"]) if found else None
    if device is None:
        _count(WRONG_TOKENS, f"wrong {request.remote_addr}")
        raise ApiError(
            "no-token",
            "the token is none of this shop's, or was revoked",
            headers={"WWW-Authenticate": f'{REALM}, error="invalid_token"'},
        )
    return device


def _not_allowed(device: Device, scope: Scope) -> ApiError:
    told = f'{REALM}, error="insufficient_scope", scope="{scope}"'
    return ApiError(
        "not-allowed",
        f"the token of {device.name} may {', '.join(device.may)}, and this asks for {scope}",
        headers={"WWW-Authenticate": told},
    )


def _count(limit: RateLimitItem, who: str) -> None:
    """Count a request; too many are told how long to wait (RFC 6585, section 4)."""
    if not current_app.config["RATELIMIT_ENABLED"] or limiter.limiter.hit(limit, "api", who):
        return
    wait = max(1, round(limiter.limiter.get_window_stats(limit, "api", who).reset_time - time()))
    raise ApiError(
        "too-often",
        f"more than {limit.amount} requests came within a minute",
        headers={"Retry-After": str(wait)},
    )
