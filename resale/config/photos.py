"""What a shop decides about photos: how large, how many, and for how long."""

from __future__ import annotations

from pydantic import BaseModel

from resale.config.fields import setting


class PhotoSettings(BaseModel):
    """Settings of photos of items."""

    photo_mb: int = setting(
        15,
        "Largest file that is taken for one photo.",
        unit="MB",
        changes="Photos added from now on.",
        ge=1,
        le=100,
    )
    # Pillow has a guard of its own from 89 million pixels on; ours speaks first.
    photo_megapixels: int = setting(
        64,
        "Largest picture that is opened for one photo.",
        unit="million pixels",
        changes="Photos added from now on.",
        ge=1,
        le=85,
    )
    photos_most: int = setting(
        12,
        "Photos that one item may have.",
        unit="photos",
        changes="Photos added from now on; none is removed.",
        ge=1,
        le=100,
    )
    # Ninety days see the usual settlement paid (56 days on the rail at most, then 30) and the
    # usual return over, and nobody needs a picture of what left the shop long ago: common
    # practice, no source.
    photo_days: int = setting(
        90,
        "Photos go so long after the item was sold or passed on; 0 removes none.",
        unit="days",
        changes="Which photos go at the next tidying. A photo that went does not come back.",
        ge=0,
        le=36_500,
    )
