"""Forms as a browser would send them, and pages as a reader gets them."""

from __future__ import annotations

import re
from collections.abc import Callable

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

Send = Callable[..., TestResponse]


def hidden_fields(client: FlaskClient, path: str) -> dict[str, str]:
    """Hidden fields of a page: the token, the key, the number."""
    text = client.get(path).text
    return dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', text))


def words_of(response: TestResponse) -> str:
    """Text that a reader gets: no tags, blanks folded."""
    text = re.sub(r"<(script|style|svg)\b.*?</\1>", " ", response.text, flags=re.S)
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))
