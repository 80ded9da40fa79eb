"""Pictures made small, upright and bare; whatever is no picture is refused in a sentence."""

from __future__ import annotations

import io

import numpy as np
import pytest
from camera import XMP, claimed_png, quarters, segments, shot
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms, ImageOps
from PIL.PngImagePlugin import PngInfo

from resale.storage.photos.pixels import PhotoError, Picture, picture_of


def made(content: bytes, most_bytes: int = 15_000_000, most_pixels: int = 64_000_000) -> Picture:
    return picture_of(content, most_bytes=most_bytes, most_pixels=most_pixels, where="Photo 1")


def opened(content: bytes) -> Image.Image:
    return Image.open(io.BytesIO(content)).convert("RGB")


def far_apart(one: Image.Image, other: Image.Image) -> float:
    return float(np.abs(np.asarray(one, float) - np.asarray(other, float)).mean())


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_place_maker_comment_and_packet_are_gone(kind: str) -> None:
    sent = shot(kind=kind)
    # The photo as sent does say where it was taken.
    assert Image.open(io.BytesIO(sent)).getexif().get_ifd(0x8825)[1] == "N"
    assert XMP[:9] in sent and b"Invented Maker" in sent
    picture = made(sent)
    for content in (picture.full, picture.small):
        for trace in (b"Exif", b"GPS", b"xpacket", b"Invented", b"ICC_PROFILE", b"http"):
            assert trace not in content
        assert not Image.open(io.BytesIO(content)).getexif()
        # Beside the pixels only JFIF's own head: ITU-T T.871, 10.1.
        others = [(mark, said[:5]) for mark, said in segments(content) if mark >= 0xE0]
        assert others == [(0xE0, b"JFIF\0")]


@pytest.mark.parametrize("turn", range(1, 9))
def test_a_picture_stands_upright_whichever_way_the_camera_was_held(turn: int) -> None:
    sent = shot(240, 160, turn=turn, quality=95)
    # Pillow's own reading of the tag.
    wanted = ImageOps.exif_transpose(Image.open(io.BytesIO(sent)))
    picture = made(sent)
    assert (picture.width, picture.height) == wanted.size
    assert far_apart(opened(picture.full), wanted) < 4


def test_a_tag_that_cannot_be_read_leaves_the_picture_as_it_is() -> None:
    sent = (
        shot(turn=6)
        .replace(b"Exif\0\0II*\0", b"Exif\0\0II*\xff")
        .replace(b"Exif\0\0MM\0*", b"Exif\0\0MM\xff*")
    )
    assert (made(sent).width, made(sent).height) == (400, 300)


@pytest.mark.parametrize(("size", "wanted"), [((4000, 3000), (1600, 1200)), ((60, 80), (60, 80))])
def test_a_large_picture_is_made_small_and_a_small_one_left(
    size: tuple[int, int], wanted: tuple[int, int]
) -> None:
    picture = made(shot(*size))
    assert (picture.width, picture.height) == wanted == opened(picture.full).size
    assert max(opened(picture.small).size) <= 320
    assert far_apart(opened(picture.full), quarters(*wanted)) < 4


def test_colours_of_another_space_are_brought_to_srgb() -> None:
    # A profile whose red and blue are changed for one another: ICC.1:2022, 7.3, tag table.
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    table, rest = srgb[:1024], srgb[1024:]
    swapped = (
        table.replace(b"rXYZ", b"????").replace(b"bXYZ", b"rXYZ").replace(b"????", b"bXYZ") + rest
    )
    out = io.BytesIO()
    Image.new("RGB", (64, 64), (230, 20, 20)).save(out, "PNG", icc_profile=swapped)
    red, green, blue = opened(made(out.getvalue()).full).getpixel((32, 32))
    assert blue > 215 and red < 40 and green < 40
    out = io.BytesIO()
    Image.new("RGB", (64, 64), (230, 20, 20)).save(out, "PNG", icc_profile=b"no profile" * 20)
    assert opened(made(out.getvalue()).full).getpixel((32, 32))[0] > 215


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "I;16", "CMYK"])
def test_every_mode_of_picture_comes_out_as_one(mode: str) -> None:
    out = io.BytesIO()
    Image.new(mode, (50, 40)).save(out, "JPEG" if mode == "CMYK" else "PNG")
    assert (made(out.getvalue()).width, made(out.getvalue()).height) == (50, 40)


def test_what_is_clear_becomes_white() -> None:
    out = io.BytesIO()
    Image.new("RGBA", (50, 40), (0, 0, 0, 0)).save(out, "PNG")
    assert min(opened(made(out.getvalue()).full).getpixel((9, 9))) > 250


@pytest.mark.parametrize("size", [(10_000, 8_000), (12_000, 12_000), (40_000, 40_000)])
def test_a_bomb_is_refused_by_its_head_alone(size: tuple[int, int]) -> None:
    # Its pixels are not there: had they been asked for, the picture would be called damaged.
    with pytest.raises(PhotoError, match="Photo 1: the picture has more than 64 million pixels"):
        made(claimed_png(*size))


def test_words_packed_to_burst_are_refused() -> None:
    words, out = PngInfo(), io.BytesIO()
    words.add_text("Comment", "x" * 20_000_000, zip=True)
    Image.new("RGB", (9, 9)).save(out, "PNG", pnginfo=words)
    with pytest.raises(PhotoError):
        made(out.getvalue())


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"", "Photo 1: the file is empty; take the photo again."),
        (b"%PDF-1.7 not a picture", "it is no JPEG, PNG or WebP picture"),
        (b"GIF89a" + b"\0" * 40, "it is no JPEG, PNG or WebP picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "it is no JPEG, PNG or WebP picture"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "HEIC or AVIF file, which is not read here"),
        (claimed_png(20, 20), "the picture is damaged and cannot be opened"),
        (shot()[:2000], "the picture is damaged and cannot be opened"),
        (b"\xff\xd8" + b"\0" * 40_000_000, "the file has 40 MB and 15 are taken"),
    ],
    ids=["empty", "pdf", "gif", "svg", "heic", "short png", "short jpeg", "40 MB"],
)
def test_what_is_no_photo_is_refused_in_a_sentence(content: bytes, sentence: str) -> None:
    with pytest.raises(PhotoError) as caught:
        made(content)
    assert sentence in caught.value.sentence


SENT = {kind: shot(64, 48, kind) for kind in ("JPEG", "PNG", "WEBP")}


@given(
    st.binary(max_size=400), st.sampled_from([b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF"])
)
def test_any_bytes_are_a_picture_or_a_sentence(tail: bytes, head: bytes) -> None:
    try:
        made(head + tail)
    except PhotoError as fault:
        assert fault.sentence.startswith("Photo 1: ")


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_photo_cut_short_or_spoilt_is_a_picture_or_a_sentence(data: st.DataObject) -> None:
    sent = bytearray(SENT[data.draw(st.sampled_from(sorted(SENT)))])
    for _ in range(data.draw(st.integers(0, 4))):
        place = data.draw(st.integers(0, len(sent) - 1))
        sent[place] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(1, len(sent)))
    try:
        picture = made(bytes(sent[:cut]))
    except PhotoError as fault:
        assert fault.sentence.startswith("Photo 1: ")
    else:
        assert opened(picture.full).size == (picture.width, picture.height)
