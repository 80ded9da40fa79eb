"""Addresses by which a machine talks to itself alone (RFC 1122, 3.2.1.3; RFC 4291, 2.5.3)."""

from __future__ import annotations

from ipaddress import ip_address


def is_loopback(host: str) -> bool:
    """Whether a host, as a command or an address names it, is this machine alone.

    Examples
    --------
    >>> is_loopback("127.0.0.2"), is_loopback("[::1]"), is_loopback("0.0.0.0")
    (True, True, False)
    """
    if host == "localhost":
        return True
    try:
        return ip_address(host.removeprefix("[").removesuffix("]")).is_loopback
    except ValueError:
        return False


def without_port(host: str) -> str:
    """Take the port off a host as a request names it.

    Examples
    --------
    >>> without_port("[::1]:8765"), without_port("desk.example")
    ('[::1]', 'desk.example')
    """
    name, _, port = host.rpartition(":")
    return name if port.isdecimal() and name else host


def in_an_address(host: str) -> str:
    """Write a host the way an address holds it (RFC 3986, 3.2.2)."""
    return f"[{host}]" if ":" in host else host
