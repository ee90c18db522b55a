"""Photographs as they come from a phone, made small, upright and free of what they give away."""

import struct
from dataclasses import dataclass
from io import BytesIO
from typing import BinaryIO

from PIL import Image, ImageCms, ImageOps

LARGEST_FILE_BYTES = 40_000_000
LARGEST_PICTURE_PIXELS = 80_000_000  # unpacked, 240 MB; phones make 12 to 50 million
SMALLEST_SIDE_PX = 8
ALLOWED = f"a JPEG, PNG or WebP photograph of at most {LARGEST_FILE_BYTES // 1_000_000} MB"

_FORMATS = ("JPEG", "PNG", "WEBP")
# The first box of an ISO base media file names its kind (ISO/IEC 23008-12 for HEIC).
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}


@dataclass(frozen=True)
class CleanPicture:
    """A photograph fit to be kept: JPEG without any metadata."""

    jpeg_bytes: bytes
    width: int
    height: int


def clean_portrait(file: BinaryIO, *, longest_side_px: int = 1600) -> CleanPicture:
    """Read an uploaded photograph and make a clean JPEG of it, never larger than it came.

    Turned upright as the camera noted, colours brought to sRGB, transparent parts white, the
    first picture of an animation. Everything else in the file is dropped: where and when it was
    taken, the camera's owner and number, comments, embedded previews. The file's name is not
    looked at; what counts is what is inside.

    Raises ValueError, with words to show to the person, for anything that is no whole JPEG, PNG
    or WebP picture, for more than 40 MB or 80 million pixels, and for less than 8 pixels a side.
    """
    content = file.read(LARGEST_FILE_BYTES + 1)
    if len(content) > LARGEST_FILE_BYTES:
        raise ValueError(f"This file is too large. Choose {ALLOWED}.")
    picture = _opened(content)
    try:
        # A JPEG can be unpacked at half, a quarter or an eighth: less work, less memory.
        picture.draft(None, (longest_side_px * 2, longest_side_px * 2))
        picture.load()
    except (OSError, SyntaxError, ValueError, struct.error) as error:
        raise ValueError(
            f"This picture is damaged or was not sent whole. Choose {ALLOWED}."
        ) from error
    picture = _in_plain_colours(_upright(picture))
    picture.thumbnail((longest_side_px, longest_side_px), Image.Resampling.LANCZOS)
    return CleanPicture(_as_jpeg(picture, quality=85), picture.width, picture.height)


def thumbnail(jpeg_bytes: bytes, side_px: int) -> bytes:
    """The middle square of a kept picture, `side_px` pixels a side, as JPEG."""
    if side_px < 1:
        raise ValueError(f"A thumbnail's side is a positive number of pixels, not {side_px}.")
    picture = _opened(jpeg_bytes)
    picture.draft("RGB", (side_px * 2, side_px * 2))
    square = ImageOps.fit(picture.convert("RGB"), (side_px, side_px), Image.Resampling.LANCZOS)
    return _as_jpeg(square, quality=80)


def _opened(content: bytes) -> Image.Image:
    if content[4:8] == b"ftyp" and content[8:12] in _HEIC_BRANDS:
        raise ValueError(
            "This is a HEIC photograph, which is not read here. In the phone's camera settings "
            'choose the "most compatible" format (JPEG) in place of "high efficiency", or share '
            "the photograph as JPEG."
        )
    try:
        picture: Image.Image = Image.open(BytesIO(content), formats=_FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise ValueError(_too_many_pixels()) from None
    except (OSError, SyntaxError, ValueError, struct.error):
        raise ValueError(
            f"This file is not a picture that can be read. Choose {ALLOWED}."
        ) from None
    if picture.width * picture.height > LARGEST_PICTURE_PIXELS:
        raise ValueError(_too_many_pixels())
    if min(picture.size) < SMALLEST_SIDE_PX:
        raise ValueError(
            f"This picture is too small to show anything: {picture.width} x {picture.height} "
            f"pixels, at least {SMALLEST_SIDE_PX} each way."
        )
    return picture


def _too_many_pixels() -> str:
    return (
        "This picture has too many pixels: at most "
        f"{LARGEST_PICTURE_PIXELS // 1_000_000} million. Make it smaller and try again."
    )


def _upright(picture: Image.Image) -> Image.Image:
    """Turned as the camera noted; a note that cannot be read is no reason to refuse a picture."""
    try:
        return ImageOps.exif_transpose(picture)
    except (OSError, SyntaxError, ValueError, KeyError, TypeError, struct.error):
        return picture


def _in_plain_colours(picture: Image.Image) -> Image.Image:
    """Three channels of sRGB: without its profile a wide-gamut photograph would look dull."""
    profile = picture.info.get("icc_profile")
    if picture.mode.startswith("I"):  # 16 bits of grey; convert() would cut, not scale
        picture = picture.convert("I").point(lambda value: value / 256).convert("L")
    if picture.has_transparency_data:
        layer = picture.convert("RGBA")
        picture = Image.new("RGB", layer.size, "white")
        picture.paste(layer, mask=layer.getchannel("A"))
    if profile and picture.mode in {"RGB", "CMYK", "L"}:
        try:
            converted = ImageCms.profileToProfile(
                picture,
                ImageCms.ImageCmsProfile(BytesIO(profile)),
                ImageCms.createProfile("sRGB"),
                outputMode="RGB",
            )
            picture = converted or picture
        except (ImageCms.PyCMSError, OSError, ValueError):
            pass  # a broken profile: the numbers are taken as they stand
    return picture.convert("RGB")


def _as_jpeg(picture: Image.Image, *, quality: int) -> bytes:
    picture.info.clear()  # Pillow would carry comments and XMP over to the new file
    out = BytesIO()
    picture.save(out, "JPEG", quality=quality, optimize=True, progressive=True)
    return out.getvalue()
