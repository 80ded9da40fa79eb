"""Invented labels drawn as a camera sees them: a little turned, unevenly lit, not quite sharp."""

from __future__ import annotations

import io
import os
from collections.abc import Sequence

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from resale.fonts import REGULAR
from resale.storage.photos.label_words import what_is_missing

SIZE, LEADING, MARGIN = 34, 58, 60


def reader_or_skip() -> None:
    """Labels are read by a program that a machine may lack; CI has to have it."""
    missing = what_is_missing()
    if missing and os.environ.get("CI") == "true":
        pytest.fail(f"CI must read labels, and cannot: {missing}")
    if missing:
        pytest.skip(missing)


def photographed(lines: Sequence[str], turn: float = 1.5, seed: int = 1) -> bytes:
    """A JPEG of a label with these lines."""
    face = ImageFont.truetype(str(REGULAR), SIZE)
    wide = max(int(face.getlength(line)) for line in lines) + 2 * MARGIN
    label = Image.new("L", (wide, 2 * MARGIN + LEADING * len(lines)), 236)
    pen = ImageDraw.Draw(label)
    for place, line in enumerate(lines):
        pen.text((MARGIN, MARGIN + LEADING * place), line, font=face, fill=42)
    turned = label.rotate(turn, expand=True, fillcolor=226, resample=Image.Resampling.BICUBIC)
    grey = np.asarray(turned.filter(ImageFilter.GaussianBlur(0.6)), dtype=float)
    light = np.linspace(1.0, 0.86, grey.shape[1])[None, :]
    noise = np.random.default_rng(seed).normal(0, 4, grey.shape)
    shot = Image.fromarray(np.clip(grey * light + noise, 0, 255).astype(np.uint8))
    out = io.BytesIO()
    shot.convert("RGB").save(out, "JPEG", quality=88)
    return out.getvalue()
