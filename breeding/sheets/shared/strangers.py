"""How a page for those without an account is dressed, and what it says when there is nothing."""

from io import BytesIO
from pathlib import Path
from typing import TypeVar

from django.contrib.staticfiles import finders
from django.http import HttpResponse, HttpResponseBase
from django.template.loader import render_to_string

Response = TypeVar("Response", bound=HttpResponseBase)
PICTURE_PX = 440
PICTURE_QUALITY = 62
# No search engine, no cache between, and no other site may learn the address.
_HEADERS = {
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Cache-Control": "private, no-store",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def quiet() -> HttpResponse:
    """Closed, run out, mistyped or guessed: the same answer, which says nothing of any sheet."""
    answer = HttpResponse(render_to_string("sheets/shared_nothing.html"), status=404)
    answer._has_been_logged = True  # type: ignore[attr-defined]  # no log keeps what was tried
    return dressed(answer)


def dressed(response: Response, *, keep: bool = False) -> Response:
    for name, value in _HEADERS.items():
        response.headers[name] = value
    if keep:  # pictures stay with the visitor for an hour, and with nobody in between
        response.headers["Cache-Control"] = "private, max-age=3600"
    return response


def small_picture(content: bytes) -> bytes:
    """A picture as a phone shows it; nothing but the picture is in it."""
    from PIL import Image

    picture: Image.Image = Image.open(BytesIO(content), formats=("JPEG", "PNG", "WEBP"))
    picture.draft("RGB", (PICTURE_PX * 2, PICTURE_PX * 2))
    picture = picture.convert("RGB")
    picture.info.clear()
    picture.thumbnail((PICTURE_PX, PICTURE_PX), Image.Resampling.LANCZOS)
    out = BytesIO()
    picture.save(out, "WEBP", quality=PICTURE_QUALITY, method=5)
    return out.getvalue()


def styles(*names: str) -> str:
    """Style sheets to stand in the page itself: one way over a slow line, not one for each."""
    found = (finders.find(f"{name}.css") for name in names)
    return "".join(Path(str(path)).read_text("utf-8") for path in found)
