"""Photographs are made upright and small, and give nothing away."""

import struct
import zlib
from io import BytesIO

import numpy as np
import pytest
from PIL import ExifTags, Image, ImageCms, ImageDraw

from breeding.animals.pictures import portraits
from breeding.animals.pictures.portraits import clean_portrait, thumbnail

RED, BLUE = (200, 30, 30), (30, 30, 200)


def two_halves(width=200, height=100):
    """Left half red, right half blue."""
    picture = Image.new("RGB", (width, height), BLUE)
    ImageDraw.Draw(picture).rectangle((0, 0, width // 2 - 1, height), fill=RED)
    return picture


def saved(picture, kind="JPEG", **more):
    out = BytesIO()
    picture.save(out, kind, **more)
    out.seek(0)
    return out


def reopened(jpeg_bytes):
    return Image.open(BytesIO(jpeg_bytes))


def looks_like(pixel, colour, within=12):
    return max(abs(a - b) for a, b in zip(pixel, colour, strict=True)) <= within


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_each_allowed_kind_becomes_a_jpeg(kind):
    clean = clean_portrait(saved(two_halves(), kind))
    assert reopened(clean.jpeg_bytes).format == "JPEG"
    assert (clean.width, clean.height) == reopened(clean.jpeg_bytes).size == (200, 100)


def test_where_and_when_it_was_taken_is_gone():
    exif = Image.Exif()
    exif[ExifTags.Base.Artist] = "Nobody Inparticular"
    exif[ExifTags.Base.DateTime] = "2026:03:03 08:15:00"
    exif.get_ifd(ExifTags.IFD.GPSInfo).update(
        {ExifTags.GPS.GPSLatitudeRef: "N", ExifTags.GPS.GPSLatitude: (51.0, 28.0, 38.0)}
    )
    original = saved(
        two_halves(),
        exif=exif,
        comment=b"from the house in Nowhere Lane",
        xmp=b"<x:xmpmeta>secret</x:xmpmeta>",
        icc_profile=ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes(),
    )
    assert reopened(original.getvalue()).getexif().get_ifd(ExifTags.IFD.GPSInfo)  # it was there
    for private in (b"Nobody Inparticular", b"Nowhere Lane", b"secret", b"2026:03:03"):
        assert private in original.getvalue()
    clean = clean_portrait(original)
    assert dict(reopened(clean.jpeg_bytes).getexif()) == {}
    assert set(reopened(clean.jpeg_bytes).info) <= {
        *("jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression")
    }
    for marker in (b"Exif", b"Inparticular", b"Nowhere Lane", b"secret", b"2026:03", b"ICC_PROF"):
        assert marker not in clean.jpeg_bytes


@pytest.mark.parametrize(
    ("note", "size", "left_or_top"),
    [  # Exif 2.32, tag 274: which way the camera was held
        (1, (200, 100), RED),
        (2, (200, 100), BLUE),
        (3, (200, 100), BLUE),
        (6, (100, 200), RED),
        (8, (100, 200), BLUE),
    ],
)
def test_a_picture_taken_sideways_is_turned_upright(note, size, left_or_top):
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = note
    clean = clean_portrait(saved(two_halves(), exif=exif, quality=95))
    picture = reopened(clean.jpeg_bytes)
    assert picture.size == size
    assert looks_like(picture.getpixel((10, 10)), left_or_top)


def test_a_large_picture_is_brought_to_the_longest_side():
    clean = clean_portrait(saved(two_halves(4000, 3000)), longest_side_px=1600)
    assert (clean.width, clean.height) == (1600, 1200)
    assert len(clean.jpeg_bytes) < 200_000


def test_a_small_picture_is_not_blown_up():
    assert clean_portrait(saved(two_halves(40, 20))).width == 40


def test_a_picture_cut_short_on_its_way_is_refused():
    noise = Image.fromarray(np.random.default_rng(7).integers(0, 255, (300, 300, 3), np.uint8))
    for kind in ("JPEG", "PNG", "WEBP"):
        content = saved(noise, kind).getvalue()
        with pytest.raises(ValueError, match=r"damaged|not a picture"):
            clean_portrait(BytesIO(content[: len(content) // 2]))


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"this was renamed to vega.jpg",
        b"\xff\xd8\xff",
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
        b"%PDF-1.7\n",
        b"GIF89a\x01\x00\x01\x00\x00\x00\x00;",
    ],
)
def test_what_is_no_picture_is_refused_whatever_its_name(content):
    file = BytesIO(content)
    file.name = "vega.jpg"
    with pytest.raises(ValueError, match="a JPEG, PNG or WebP photograph of at most 40 MB"):
        clean_portrait(file)


def test_an_animated_gif_is_refused_by_its_kind():
    with pytest.raises(ValueError, match="JPEG, PNG or WebP"):
        clean_portrait(saved(two_halves(), "GIF"))


@pytest.mark.parametrize("brand", [b"heic", b"mif1", b"heix"])
def test_a_heic_photograph_says_which_camera_setting_to_change(brand):
    content = b"\x00\x00\x00\x18ftyp" + brand + b"\x00" * 100
    with pytest.raises(ValueError, match=r"HEIC.*camera settings.*most compatible"):
        clean_portrait(BytesIO(content))


def test_a_picture_of_one_pixel_is_refused_with_its_size():
    with pytest.raises(ValueError, match="too small to show anything: 1 x 1 pixels"):
        clean_portrait(saved(Image.new("RGB", (1, 1)), "PNG"))


def test_a_small_file_that_unpacks_to_a_huge_picture_is_refused():
    def chunk(kind, body):
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    for side in (9_000, 12_000, 60_000):  # over our limit, over Pillow's warning, over its error
        header = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
        bomb = (
            b"\x89PNG\r\n\x1a\n"
            + chunk(b"IHDR", header)
            + chunk(b"IDAT", b"")
            + chunk(b"IEND", b"")
        )
        with pytest.raises(ValueError, match=r"too many pixels.*25 million of a PNG"):
            clean_portrait(BytesIO(bomb))


def test_a_file_over_the_limit_is_refused_without_reading_on(monkeypatch):
    monkeypatch.setattr(portraits, "LARGEST_FILE_BYTES", 1000)
    file = BytesIO(b"\xff\xd8" + b"\x00" * 50_000)
    with pytest.raises(ValueError, match="too large"):
        clean_portrait(file)
    assert file.tell() == 1001


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_an_animation_gives_its_first_picture(kind):
    frames = [Image.new("RGB", (64, 64), colour) for colour in (RED, BLUE)]
    moving = saved(frames[0], kind, save_all=True, append_images=frames[1:], duration=100)
    picture = reopened(clean_portrait(moving).jpeg_bytes)
    assert looks_like(picture.getpixel((32, 32)), RED)
    assert getattr(picture, "n_frames", 1) == 1


def test_transparent_parts_come_out_white():
    clear = Image.new("RGBA", (64, 64), (0, 0, 0, 0))
    for picture in (clear, clear.convert("LA"), clear.quantize()):
        clean = reopened(clean_portrait(saved(picture, "PNG")).jpeg_bytes)
        assert clean.getpixel((32, 32)) == (255, 255, 255)


@pytest.mark.parametrize("mode", ["L", "1", "P", "CMYK", "I;16", "LA"])
def test_every_kind_of_colour_keeps_its_brightness(mode):
    if mode == "I;16":
        picture = Image.fromarray(np.full((64, 64), 65535, np.uint16))
    else:
        picture = Image.new("L", (64, 64), 255).convert(mode)
    kind = "JPEG" if mode == "CMYK" else "PNG"
    clean = reopened(clean_portrait(saved(picture, kind)).jpeg_bytes)
    assert clean.mode == "RGB"
    assert looks_like(clean.getpixel((32, 32)), (255, 255, 255))


def test_a_broken_colour_profile_is_no_reason_to_refuse():
    clean = clean_portrait(saved(two_halves(), icc_profile=b"no profile at all"))
    assert looks_like(reopened(clean.jpeg_bytes).getpixel((10, 10)), RED)


def test_a_thumbnail_is_the_middle_square():
    kept = clean_portrait(saved(two_halves(400, 100))).jpeg_bytes
    small = reopened(thumbnail(kept, 96))
    assert small.size == (96, 96)
    assert looks_like(small.getpixel((5, 48)), RED, within=20)
    assert looks_like(small.getpixel((90, 48)), BLUE, within=20)
    assert len(thumbnail(kept, 96)) < 4000


def test_a_thumbnail_without_a_side_is_refused():
    with pytest.raises(ValueError, match="not 0"):
        thumbnail(b"", 0)
