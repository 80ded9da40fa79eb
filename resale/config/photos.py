"""What a shop decides about photos: how large, how many, and for how long."""

from __future__ import annotations

from pydantic import BaseModel

from resale.config.selling import setting


class PhotoSettings(BaseModel):
    """Settings of photos of items."""

    photo_mb: int = setting(
        15, "MB", "Largest file that is taken for one photo.", ge=1, le=100
    )  # fmt: skip
    # Pillow has a guard of its own from 89 million pixels on; ours speaks first.
    photo_megapixels: int = setting(
        64, "million pixels", "Largest picture that is opened for one photo.", ge=1, le=85
    )
    photos_most: int = setting(12, "", "Photos that are kept of one item.", ge=1, le=100)
    # Ninety days see the usual settlement paid (56 days on the rail at most, then 30) and the
    # usual return over, and nobody needs a picture of what left the shop long ago: common
    # practice, no source.
    photo_days: int = setting(
        90, "days", "Photos go so long after the item was sold or passed on; 0 keeps them.",
        ge=0, le=36_500,
    )  # fmt: skip
