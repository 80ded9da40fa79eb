"""Pictures as they come from a camera, made small, upright, and free of everything but pixels."""

from __future__ import annotations

import io
from contextlib import suppress
from dataclasses import dataclass
from threading import Lock

from PIL import Image, ImageCms, UnidentifiedImageError

from resale.errors import ResaleError
from resale.storage.photos.memory import give_memory_back

# Decoders that a stranger's bytes may reach; every other one of the library stays shut.
FORMATS = ("JPEG", "PNG", "WEBP")
LONG_SIDE, SMALL_SIDE = 1600, 320
QUALITY, SMALL_QUALITY = 85, 80

_ORIENTATION = 0x0112
# What brings a picture upright, by the value of its tag: Exif 2.32 (CIPA DC-008), 4.6.4 A.
_UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
# Brands of the HEIF family in the first box of a file: ISO/IEC 23008-12, 10.
_HEIF = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif")
_SPACES = {"RGB": "RGB", "GRAY": "L", "CMYK": "CMYK"}
# A large picture takes a few hundred megabytes while it is opened: one at a time.
_one_at_a_time = Lock()


class PhotoError(ResaleError):
    """What was sent cannot be kept as a photo."""


@dataclass(frozen=True)
class Picture:
    """A picture ready to be kept: JPEG in sRGB, without any metadata.

    Attributes
    ----------
    full, small : bytes
        The picture and its thumbnail.
    width, height : int
        Of the picture, in pixels, upright.
    """

    full: bytes
    small: bytes
    width: int
    height: int


def picture_of(content: bytes, *, most_bytes: int, most_pixels: int, where: str = "") -> Picture:
    """Decode what was sent and write it anew.

    Parameters
    ----------
    content : bytes
        A JPEG, PNG or WebP file.
    most_bytes, most_pixels : int
        Beyond either nothing is opened.
    where : str
        What to call the photo in a sentence.

    Raises
    ------
    PhotoError
        If it is too large, no picture, of another kind, or broken.
    """
    if not content:
        raise PhotoError("the file is empty", where=where, remedy="take the photo again")
    if len(content) > most_bytes:
        raise PhotoError(
            f"the file has {len(content) / 1e6:,.0f} MB and {most_bytes / 1e6:,.0f} are taken",
            where=where,
            remedy="take it again at a lower resolution",
        )
    if content[4:8] == b"ftyp" and content[8:12] in _HEIF:
        raise PhotoError(
            "it is a HEIC or AVIF file, which is not read here",
            where=where,
            remedy="set the camera to JPEG and take it again",
        )
    with _one_at_a_time:
        try:
            return _written_anew(_opened(content, most_pixels, where))
        except PhotoError:
            raise
        except Exception as fault:
            # A decoder fed with anything may raise anything; whatever it is, no picture came out.
            raise PhotoError(
                "the picture is damaged and cannot be opened",
                where=where,
                remedy="take it again, or send it again if the network broke off",
            ) from fault
        finally:
            give_memory_back()


def _opened(content: bytes, most_pixels: int, where: str) -> Image.Image:
    """Read the head of a picture; not one pixel is unpacked before its size is known."""
    too_many = PhotoError(
        f"the picture has more than {most_pixels / 1e6:,.0f} million pixels",
        where=where,
        remedy="take it again at a lower resolution",
    )
    try:
        picture = Image.open(io.BytesIO(content), formats=FORMATS)
    except UnidentifiedImageError:
        raise PhotoError(
            "it is no JPEG, PNG or WebP picture", where=where, remedy="send a photo of the item"
        ) from None
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise too_many from None
    if picture.width * picture.height > most_pixels:
        raise too_many
    return picture


def _written_anew(picture: Image.Image) -> Picture:
    # A JPEG can be unpacked at an eighth, a quarter or a half of its size, in as much less memory.
    picture.draft(None, (LONG_SIDE, LONG_SIDE))
    profile, turn = picture.info.get("icc_profile"), _orientation(picture)
    plain = _in_srgb(_fitted(_plain_mode(picture), LONG_SIDE), profile)
    if turn in _UPRIGHT:
        plain = plain.transpose(_UPRIGHT[turn])
    # Made from pixels alone: nothing that the file said besides can come along.
    bare = Image.frombytes("RGB", plain.size, plain.tobytes())
    full, small = _jpeg(bare, QUALITY), _jpeg(_fitted(bare, SMALL_SIDE), SMALL_QUALITY)
    return Picture(full, small, *bare.size)


def _orientation(picture: Image.Image) -> int:
    """Read which way the camera was held; what cannot be read is upright."""
    with suppress(Exception):
        return int(picture.getexif().get(_ORIENTATION, 1))
    return 1


def _plain_mode(picture: Image.Image) -> Image.Image:
    """Turn palettes, transparency and rare modes into one that can be made smaller."""
    if picture.has_transparency_data:
        clear = picture.convert("RGBA")
        paper = Image.new("RGBA", clear.size, "white")
        return Image.alpha_composite(paper, clear).convert("RGB")
    if picture.mode in _SPACES.values():
        picture.load()
        return picture
    return picture.convert("RGB")


def _in_srgb(picture: Image.Image, profile: object) -> Image.Image:
    """Bring colours of another space to sRGB; a profile that cannot be used is passed over."""
    if isinstance(profile, bytes) and profile:
        with suppress(Exception):
            space = ImageCms.ImageCmsProfile(io.BytesIO(profile))
            mode = _SPACES[space.profile.xcolor_space.strip()]
            there = picture if picture.mode == mode else picture.convert(mode)
            srgb = ImageCms.createProfile("sRGB")
            made = ImageCms.profileToProfile(there, space, srgb, outputMode="RGB")
            if made is not None:
                return made
    return picture.convert("RGB")


def _fitted(picture: Image.Image, side: int) -> Image.Image:
    if max(picture.size) <= side:
        return picture
    less = picture.copy()
    less.thumbnail((side, side), Image.Resampling.LANCZOS)
    return less


def _jpeg(picture: Image.Image, quality: int) -> bytes:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()
