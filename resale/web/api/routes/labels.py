"""Labels: what a photographed one says."""

from __future__ import annotations

from typing import Any

from flask import request

from resale.services.photos.read_label import read_label
from resale.web.api.blueprint import api
from resale.web.api.operations import operation
from resale.web.api.responses import label as label_answers
from resale.web.api.routes.item_files import PHOTO_TYPES, photo_in_the_body
from resale.web.core.shop import current_shop


@api.url_value_preprocessor
def _room_for_a_photo(endpoint: str | None, _: dict[str, Any] | None) -> None:
    """Let a photo through that is larger than a form; asked before the body is read."""
    if endpoint == "api.label_read":
        request.max_content_length = current_shop().settings.photo_mb * 1_000_000 + 1


@api.post("/labels/read")
@operation("read", label_answers.LabelRead, upload=PHOTO_TYPES)
def label_read() -> label_answers.LabelRead:
    """Read a photographed label: its words on fibres and on care, each with how sure it is.

    The body is the picture itself; it is not kept. What is answered decides nothing: a person sets
    each word against the label before it is sent as a reading.
    """
    read = read_label(current_shop().settings, photo_in_the_body())
    return label_answers.LabelRead(
        fibres=read.fibres,
        care=read.care,
        left_out=read.left_out,
        words=[
            label_answers.LabelWord(
                text=one.text, confidence=one.confidence, use=one.use, look_again=one.why
            )
            for one in read.words
        ],
    )
