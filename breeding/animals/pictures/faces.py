"""Small portraits for pages that show many animals; one file a portrait and size.

WebP, since dozens of them come over a phone's line with one page: half of the bytes of a JPEG. They
are made from the small picture when first asked for and kept beside the data; whoever deletes them
loses nothing. A picture on record never changes, so neither does its face.
"""

import hashlib
import os
import tempfile
from contextlib import suppress
from io import BytesIO
from pathlib import Path
from typing import IO

from django.conf import settings

from breeding.animals.models import Photograph

FACE_PX = 96  # twice the size at which pages show it, for the screens of phones
QUALITY = 50


def face_of(photograph: Photograph, side_px: int) -> bytes:
    """The middle square, so many pixels a side, as WebP.

    Raises FileNotFoundError when the picture's file is missing.
    """
    kept = _place(photograph, side_px)
    with suppress(OSError):
        return kept.read_bytes()
    with photograph.thumbnail.open("rb") as file:
        made = _light(file, side_px)
    with suppress(OSError):  # a full or locked disk: it is made anew the next time
        _keep(kept, made)
    return made


def _light(file: IO[bytes], side_px: int) -> bytes:
    from PIL import Image, ImageOps

    out = BytesIO()
    square = ImageOps.fit(Image.open(file), (side_px, side_px), Image.Resampling.LANCZOS)
    square.save(out, "WEBP", quality=QUALITY, method=6)
    return out.getvalue()


def _place(photograph: Photograph, side_px: int) -> Path:
    """Named by the file that it is made of, and when that was written."""
    seen = os.stat(photograph.thumbnail.path)
    told = f"{photograph.thumbnail.name}:{seen.st_mtime_ns}:{seen.st_size}:{side_px}"
    name = hashlib.sha256(told.encode()).hexdigest()[:32]
    return Path(settings.HOME) / "faces" / f"{name}.webp"


def _keep(place: Path, content: bytes) -> None:
    """Whole or not at all, and for nobody else on this machine to read."""
    place.parent.mkdir(mode=0o700, exist_ok=True)
    handle, passing = tempfile.mkstemp(dir=place.parent)
    with os.fdopen(handle, "wb") as out:
        out.write(content)
    os.replace(passing, place)
