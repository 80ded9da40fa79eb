"""What is named after a shop in a chain's folders: no two shops get one name."""

from __future__ import annotations

from urllib.parse import quote, unquote


def folder_of(shop: str) -> str:
    """Name of a shop's folder: its own name, with what a folder may not hold written as %2F."""
    return quote(shop, safe=" ").lstrip(".") or "%20"


def shop_of(folder: str) -> str:
    """Name of the shop whose folder it is."""
    return unquote(folder)
