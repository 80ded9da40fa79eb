"""The shops of a chain, as its desk sees them: opened once, each with connections of its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from sqlalchemy import Engine, make_url
from sqlalchemy.exc import SQLAlchemyError

from resale.config.settings import Settings, read_settings
from resale.errors import ResaleError
from resale.services.shop import Shop, shop_over
from resale.storage.db.database import is_of_today, records_as_they_are
from resale.storage.db.server_faults import ServerError
from resale.storage.models.version_in_use import version_in_use


class ChainError(ResaleError):
    """A shop of the chain cannot be looked at, or is not there."""


@dataclass(frozen=True)
class Member:
    """A shop of the chain.

    Attributes
    ----------
    name : str
        Of the shop; of its folder where it cannot be opened.
    shop : Shop or None
        None where it cannot be opened now.
    trouble : str
        A sentence that says why not.
    """

    name: str
    shop: Shop | None
    trouble: str = ""


class ChainDesk:
    """Keeps the other shops open; their prices and settings are those of the moment.

    Nothing is migrated or made: a shop that another version of the program keeps is left alone.
    """

    def __init__(self) -> None:
        self._open: dict[Path, Shop] = {}
        self._lock = Lock()

    def members(self, own: Shop) -> tuple[Member, ...]:
        """All shops of the chain, one's own first.

        Parameters
        ----------
        own : Shop
            Whose setting names the others.

        Raises
        ------
        ChainError
            If two of them are one shop, or bear one name.
        """
        found = [Member(own.settings.name, own)]
        with self._lock:
            for folder in own.settings.other_shops:
                found.append(self._member((own.settings.data_folder / folder).expanduser()))
        _refuse_twice(found)
        return tuple(found)

    def close(self) -> None:
        """Let go of all connections."""
        for shop in self._open.values():
            shop.records.dispose()
        self._open.clear()

    def _member(self, folder: Path) -> Member:
        try:
            shop = self._opened(folder)
        except ServerError:
            # What the server said names hosts and ports.
            return Member(folder.name, None, f"{folder.name}: its records cannot be reached.")
        except ResaleError as fault:
            return Member(folder.name, None, fault.sentence)
        except (SQLAlchemyError, OSError):
            return Member(folder.name, None, f"{folder.name}: its records cannot be read.")
        return Member(shop.settings.name, shop)

    def _opened(self, folder: Path) -> Shop:
        if not folder.is_dir():
            raise ChainError(
                "there is no such folder", where=folder.name, remedy="look at other_shops"
            )
        # What this process was started with is about this shop, and no other.
        settings = read_settings(folder, environment={})
        known = self._open.get(folder)
        if known is not None and _place(known.settings) == _place(settings):
            same = known.settings == settings
            if same and version_in_use(known.records, settings) == known.version:
                return known
            records = known.records
        else:
            records = _records(settings, folder)
        self._open[folder] = shop_over(settings, records)
        return self._open[folder]


def _records(settings: Settings, folder: Path) -> Engine:
    records = records_as_they_are(settings)
    if records is None:
        raise ChainError("no shop lies in it", where=folder.name, remedy="open one there first")
    if not is_of_today(records):
        records.dispose()
        raise ChainError(
            "its records are of another version of the program",
            where=settings.name,
            remedy="open the shop there with this version first",
        )
    return records


def _place(settings: Settings) -> tuple[str, ...]:
    """Where a shop's records lie; the same of two folders means that they are one shop."""
    address = settings.records_url.get_secret_value()
    if not address:
        return (str(settings.data_folder.resolve()),)
    url = make_url(address)
    return (str(url.host), str(url.port or 5432), str(url.database), settings.shop_key)


def _refuse_twice(members: list[Member]) -> None:
    names, places = set[str](), set[tuple[str, ...]]()
    for shop in (one.shop for one in members if one.shop is not None):
        place = _place(shop.settings)
        if place in places:
            raise ChainError(
                "a shop stands among the others twice, or is this one",
                where=shop.settings.name,
                remedy="name each folder once in other_shops",
            )
        if shop.settings.name.casefold() in names:
            raise ChainError(
                f"two shops of the chain are called {shop.settings.name}",
                where="other_shops",
                remedy="give each a name of its own in its settings",
            )
        names.add(shop.settings.name.casefold())
        places.add(place)


def shop_named(members: tuple[Member, ...], name: str) -> Shop:
    """Find a shop of the chain by its name, in capitals or not.

    Parameters
    ----------
    members : tuple of Member
    name : str

    Raises
    ------
    ChainError
        If there is none, or it cannot be opened now.
    """
    wanted = " ".join(name.split()).casefold()
    for one in members:
        if one.name.casefold() == wanted:
            if one.shop is None:
                raise ChainError(one.trouble.rstrip("."), remedy="open it there first")
            return one.shop
    known = ", ".join(_names(members))
    raise ChainError(f"no shop of the chain is called {name[:60]!r}", remedy=f"name one of {known}")


def _names(members: tuple[Member, ...]) -> Iterator[str]:
    return (one.name for one in members)
