"""Photographs as they come from a phone, made small, upright and free of what they give away."""

import struct
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, BinaryIO

from breeding.words.language import message, tell

if TYPE_CHECKING:
    from PIL import Image

LARGEST_FILE_BYTES = 40_000_000
# What a computer of 2 GB survives, whatever is in the file (measured in test_portrait_limits.py).
# Phones make 12 to 50 million; a JPEG is unpacked small, the others as they are, 4 bytes a pixel.
LARGEST_JPEG_PIXELS = 65_000_000
LARGEST_PICTURE_PIXELS = 25_000_000
MOST_SCANS = 100  # of a JPEG that sharpens step by step: each scan is all of the picture again
SMALLEST_SIDE_PX = 8
THUMBNAIL_PX = 192
LONGEST_WAIT_SECONDS = 10  # for others whose photographs are read just now
ALLOWED_MB = LARGEST_FILE_BYTES // 1_000_000
TOO_LARGE = message(
    "This file is too large. Choose a JPEG, PNG or WebP photograph of at most {most} MB."
)
DAMAGED = message(
    "This picture is damaged or was not sent whole. Choose a JPEG, PNG or WebP photograph of at "
    "most {most} MB."
)
NO_PICTURE = message(
    "This file is not a picture that can be read. Choose a JPEG, PNG or WebP photograph of at most "
    "{most} MB."
)
IS_HEIC = message(
    "This is a HEIC photograph, which is not read here. In the phone's camera settings choose the "
    '"most compatible" format (JPEG) in place of "high efficiency", or share the photograph as '
    "JPEG."
)
TOO_MANY_PIXELS = message(
    "This picture has too many pixels. At most {jpeg} million are read of a JPEG, and {other} "
    "million of a PNG or WebP. Make it smaller and try again."
)
TOO_MANY_PIXELS_OF = message(
    "This picture has too many pixels: {width} x {height}. At most {jpeg} million are read of a "
    "JPEG, and {other} million of a PNG or WebP. Make it smaller and try again."
)

_FORMATS = ("JPEG", "PNG", "WEBP")
# The first box of an ISO base media file names its kind (ISO/IEC 23008-12 for HEIC).
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}


@dataclass(frozen=True)
class CleanPicture:
    """A photograph fit to be kept: JPEG without any metadata."""

    jpeg_bytes: bytes
    width: int
    height: int


@dataclass(frozen=True)
class ReadPicture:
    """A photograph that was read before it is kept: the clean picture and its small square."""

    clean: CleanPicture
    thumbnail: bytes


_one_at_a_time = threading.Semaphore()


@contextmanager
def _ones_turn() -> Iterator[None]:
    """One picture at a time in this process: six together would need six times the memory."""
    if not _one_at_a_time.acquire(timeout=LONGEST_WAIT_SECONDS):
        raise ValueError(
            tell("Other photographs are being read just now; nothing was saved. Send it once more.")
        )
    try:
        yield
    finally:
        _one_at_a_time.release()


def read_picture(file: BinaryIO) -> ReadPicture:
    """An uploaded photograph, read and made small; before the act that keeps it, not within it.

    It takes seconds, and meanwhile nobody else is to wait for the database. Raises ValueError,
    with words for the person, as `clean_portrait` does, and when others take too long.
    """
    with _ones_turn():
        clean = clean_portrait(file)
        return ReadPicture(clean, thumbnail(clean.jpeg_bytes, THUMBNAIL_PX))


def clean_portrait(file: BinaryIO, *, longest_side_px: int = 1600) -> CleanPicture:
    """Read an uploaded photograph and make a clean JPEG of it, never larger than it came.

    Turned upright as the camera noted, colours brought to sRGB, transparent parts white, the
    first picture of an animation. Everything else in the file is dropped: where and when it was
    taken, the camera's owner and number, comments, embedded previews. The file's name is not
    looked at; what counts is what is inside.

    Raises ValueError, with words to show to the person, for anything that is no whole JPEG, PNG
    or WebP picture, for more than 40 MB or more pixels than the limits above, and for less than 8
    pixels a side. Cost: at most about 0.5 GB and a few seconds.
    """
    from PIL import Image

    content = file.read(LARGEST_FILE_BYTES + 1)
    if len(content) > LARGEST_FILE_BYTES:
        raise ValueError(tell(TOO_LARGE, most=ALLOWED_MB))
    picture = _opened(content)
    try:
        # A JPEG can be unpacked at half, a quarter or an eighth: less work, less memory.
        picture.draft(None, _enough(picture, longest_side_px * 3 // 2))
        picture.load()
    except (OSError, SyntaxError, ValueError, struct.error) as error:
        raise ValueError(tell(DAMAGED, most=ALLOWED_MB)) from error
    # Made small first: turning and colouring the whole of it would take a copy of it each time.
    picture = _with_whole_channels(picture)
    picture.thumbnail((longest_side_px, longest_side_px), Image.Resampling.LANCZOS)
    picture = _in_plain_colours(_upright(picture))
    return CleanPicture(_as_jpeg(picture, quality=85), picture.width, picture.height)


def grey_picture(content: bytes, *, longest_side_px: int) -> "Image.Image":
    """A picture in grey for a machine that reads it, made smaller where it is larger than that.

    Nothing of it is to be kept. Raises ValueError as `read_picture` does.
    """
    from PIL import Image

    if len(content) > LARGEST_FILE_BYTES:
        raise ValueError(tell(TOO_LARGE, most=ALLOWED_MB))
    with _ones_turn():
        picture = _opened(content)
        try:
            picture.draft("L", _enough(picture, longest_side_px))
            picture.load()
        except (OSError, SyntaxError, ValueError, struct.error) as error:
            raise ValueError(tell(DAMAGED, most=ALLOWED_MB)) from error
        picture = _with_whole_channels(picture)
        picture.thumbnail((longest_side_px, longest_side_px), Image.Resampling.LANCZOS)
        if picture.has_transparency_data:
            layer = picture.convert("RGBA")
            picture = Image.new("RGB", layer.size, "white")
            picture.paste(layer, mask=layer.getchannel("A"))
        return picture.convert("L")


def thumbnail(jpeg_bytes: bytes, side_px: int) -> bytes:
    """The middle square of a kept picture, `side_px` pixels a side, as JPEG."""
    from PIL import Image, ImageOps

    if side_px < 1:
        raise ValueError(f"A thumbnail's side is a positive number of pixels, not {side_px}.")
    picture = _opened(jpeg_bytes)
    picture.draft("RGB", (side_px * 2, side_px * 2))
    square = ImageOps.fit(picture.convert("RGB"), (side_px, side_px), Image.Resampling.LANCZOS)
    return _as_jpeg(square, quality=80)


def _enough(picture: "Image.Image", longest_side_px: int) -> tuple[int, int]:
    """The size of the same shape that is this long, for a decoder that looks at both sides."""
    share = min(1.0, longest_side_px / max(picture.size))
    return (max(1, int(picture.width * share)), max(1, int(picture.height * share)))


def _with_whole_channels(picture: "Image.Image") -> "Image.Image":
    """Colours as numbers that can be averaged; a place in a palette cannot."""
    if picture.mode.startswith("I"):  # 16 bits of grey; convert() would cut, not scale
        return picture.convert("I").point(lambda value: value / 256).convert("L")
    if picture.mode in ("L", "LA", "RGB", "RGBA", "CMYK") and "transparency" not in picture.info:
        return picture
    return picture.convert("RGBA" if picture.has_transparency_data else "RGB")


def _opened(content: bytes) -> "Image.Image":
    from PIL import Image

    if content[4:8] == b"ftyp" and content[8:12] in _HEIC_BRANDS:
        raise ValueError(tell(IS_HEIC))
    try:
        picture: Image.Image = Image.open(BytesIO(content), formats=_FORMATS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise ValueError(_too_many_pixels()) from None
    except (OSError, SyntaxError, ValueError, struct.error):
        raise ValueError(tell(NO_PICTURE, most=ALLOWED_MB)) from None
    _refuse_too_large(picture, content)
    if min(picture.size) < SMALLEST_SIDE_PX:
        raise ValueError(
            tell(
                "This picture is too small to show anything: {width} x {height} pixels, at least "
                "{least} each way.",
                width=picture.width,
                height=picture.height,
                least=SMALLEST_SIDE_PX,
            )
        )
    return picture


def _refuse_too_large(picture: "Image.Image", content: bytes) -> None:
    """By what the head of the file says, before anything is unpacked."""
    is_jpeg = picture.format in ("JPEG", "MPO")
    most = LARGEST_JPEG_PIXELS if is_jpeg else LARGEST_PICTURE_PIXELS
    if picture.width * picture.height > most:
        raise ValueError(_too_many_pixels(picture.size))
    scans = content.count(b"\xff\xda") if is_jpeg else 0
    if scans > MOST_SCANS:
        raise ValueError(
            tell(
                "This picture is built up in {scans} steps; at most {most} are read. Save it anew "
                "as a plain JPEG.",
                scans=scans,
                most=MOST_SCANS,
            )
        )


def _too_many_pixels(size: tuple[int, int] | None = None) -> str:
    width, height = size or (0, 0)
    return tell(
        TOO_MANY_PIXELS_OF if size else TOO_MANY_PIXELS,
        width=width,
        height=height,
        jpeg=LARGEST_JPEG_PIXELS // 1_000_000,
        other=LARGEST_PICTURE_PIXELS // 1_000_000,
    )


def _upright(picture: "Image.Image") -> "Image.Image":
    """Turned as the camera noted; a note that cannot be read is no reason to refuse a picture."""
    from PIL import ImageOps

    try:
        return ImageOps.exif_transpose(picture)
    except (OSError, SyntaxError, ValueError, KeyError, TypeError, struct.error):
        return picture


def _in_plain_colours(picture: "Image.Image") -> "Image.Image":
    """Three channels of sRGB: without its profile a wide-gamut photograph would look dull."""
    from PIL import Image, ImageCms

    profile = picture.info.get("icc_profile")
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


def _as_jpeg(picture: "Image.Image", *, quality: int) -> bytes:
    picture.info.clear()  # Pillow would carry comments and XMP over to the new file
    out = BytesIO()
    picture.save(out, "JPEG", quality=quality, optimize=True, progressive=True)
    return out.getvalue()
