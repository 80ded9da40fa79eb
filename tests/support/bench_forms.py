"""Forms as a browser would send them, and pages as a reader gets them."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Callable
from uuid import uuid4

from flask.testing import FlaskClient
from itsdangerous import URLSafeTimedSerializer
from werkzeug.test import TestResponse

Send = Callable[..., TestResponse]


def hidden_fields(client: FlaskClient, path: str) -> dict[str, str]:
    """Hidden fields of a page: the token, the key, the number."""
    text = client.get(path).text
    return dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', text))


def csrf_token(client: FlaskClient) -> str:
    """The token that any page would give this client, without the page: Flask-WTF signs so."""
    with client.session_transaction() as session:
        own = session.setdefault("csrf_token", hashlib.sha256(os.urandom(64)).hexdigest())
    key = client.application.secret_key
    assert key is not None
    return str(URLSafeTimedSerializer(key, salt="wtf-csrf-token").dumps(own))


def new_form(client: FlaskClient) -> dict[str, str]:
    """What stands hidden in a form that nobody has filled in: the token, and a key of its own."""
    return {"csrf_token": csrf_token(client), "key": str(uuid4())}


def words_of(response: TestResponse) -> str:
    """Text that a reader gets: no tags, blanks folded."""
    text = re.sub(r"<(script|style|svg)\b.*?</\1>", " ", response.text, flags=re.S)
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))
