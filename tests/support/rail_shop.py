"""A small shop whose rail is worked through the same forms as a person uses, at a clock of ours."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta

import pytest
from bench_forms import csrf_token, new_form
from flask import Flask
from flask.testing import FlaskClient
from looked_over import looked_over
from werkzeug.test import TestResponse

from resale.storage.ledger.ledger import ItemLife, item_life
from resale.web.core.shop import Shop

FIRST_DAY = date(2026, 3, 2)


class RailShop:
    """The application, a browser without JavaScript, and a day that moves on when told."""

    def __init__(self, app: Flask, monkeypatch: pytest.MonkeyPatch, day: date = FIRST_DAY) -> None:
        self.app, self.client, self.day = app, app.test_client(), day
        self._keys = 0
        monkeypatch.setattr(Shop, "now", lambda _: datetime.combine(self.day, time(12), UTC))

    @property
    def shop(self) -> Shop:
        found: Shop = self.app.extensions["resale"]
        return found

    def later(self, days: int) -> None:
        self.day += timedelta(days=days)

    def save(
        self, kind: str, size: str = "", looked: bool = True, label: str = "", **readings: str
    ) -> str:
        """Save an item from the bench, looked over with nothing found unless told otherwise."""
        fields = new_form(self.client)
        chosen = {f"s-{signal}": option for signal, option in readings.items()}
        looks = looked_over(kind, readings, size=size) if looked else {}
        data = {**fields, "size": size, "label": label, **looks, **chosen}
        answer = self.client.post(f"/bench/{kind}/save", data=data)
        return answer.location.split("=")[-1]

    def post(self, path: str, key: str = "", **fields: object) -> TestResponse:
        """Post a form with a token of its own."""
        token = self.token()
        self._keys += 1
        own = {"csrf_token": token, "key": key or f"key-{self._keys}"}
        return self.client.post(path, data={**own, **fields})

    def token(self) -> str:
        return csrf_token(self.client)

    def life(self, number: str) -> ItemLife:
        return item_life(self.shop.records, number)

    def what_happened(self, number: str) -> list[tuple[str, int | None]]:
        steps = self.life(number).held
        return [(event.what, event.amount) for event in steps if event.what != "valued"]


def clients_words(client: FlaskClient, path: str) -> str:
    """Text of a page, its blanks folded."""
    text = re.sub(r"<(script|style)\b.*?</\1>", " ", client.get(path).text, flags=re.S)
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text)).replace("&#39;", "'")
