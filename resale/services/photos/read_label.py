"""Reading a label off a photo: fills fields, decides nothing, keeps nothing."""

from __future__ import annotations

from collections.abc import Sequence

from resale.config.settings import Settings
from resale.garments.label_text.parted import LabelText, parted
from resale.storage.photos.label_words import LANGUAGES, words_of
from resale.storage.photos.pixels import picture_of

WHERE = "Photo of the label"


def read_label(
    settings: Settings, content: bytes, *, languages: Sequence[str] = LANGUAGES
) -> LabelText:
    """Read what a photographed label says of fibres and care.

    The picture is opened, read and forgotten; whoever wants it kept adds it to an item.

    Parameters
    ----------
    settings : Settings
        Of the shop: how large a photo may be.
    content : bytes
        A JPEG, PNG or WebP file.
    languages : sequence of str
        Tesseract's codes of the languages that the label may be in.

    Returns
    -------
    LabelText
        With the words to look at again.

    Raises
    ------
    PhotoError
        If it is no picture that can be opened.
    LabelPhotoError
        If labels cannot be read here, or this one not in time.
    """
    picture = picture_of(
        content,
        most_bytes=settings.photo_mb * 1_000_000,
        most_pixels=settings.photo_megapixels * 1_000_000,
        where=WHERE,
    )
    return parted(words_of(picture.full, languages=languages))
