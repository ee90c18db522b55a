"""What somebody without an account sees who has the link of a sheet."""

import datetime
from io import BytesIO
from pathlib import Path
from typing import TypeVar

from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe
from PIL import Image

from breeding.buyers import sheet_links, sheet_standing
from breeding.buyers.models import SheetLink
from breeding.buyers.sheet_page import sheet_page
from breeding.buyers.sheet_views import file_name, kept_file
from breeding.program import clock

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


@login_not_required
@require_safe
@gzip_page
def shared(request: HttpRequest, token: str) -> HttpResponse:
    """The issued facts of one sheet, and whether it still stands.

    The page is packed for slow lines: it repeats nothing that a visitor typed, so packing tells
    an eavesdropper nothing.
    """
    link = _found(token)
    if link is None:
        return quiet()
    issued = link.sheet
    roles = [one.role for one in issued.pictures.all()]
    pictures = {role: reverse("buyers:shared_picture", args=[token, role]) for role in roles}
    context = {
        "page": sheet_page(issued.issued_facts, pictures),
        "standing": sheet_standing.standing_of(issued),
        "tree_address": reverse("buyers:shared_picture", args=[token, "tree"]),
        "file_address": reverse("buyers:shared_file", args=[token]),
        "style": styles("sheet", "shared"),
    }
    # Without the request: nothing on the page depends on who looks.
    return dressed(HttpResponse(render_to_string("buyers/shared.html", context)))


@login_not_required
@require_safe
def shared_picture(request: HttpRequest, token: str, role: str) -> HttpResponseBase:
    """A picture of a shared sheet, made small; or its tree."""
    link = _found(token)
    if link is None:
        return quiet()
    if role == "tree" and link.sheet.tree_svg:
        response = HttpResponse(link.sheet.tree_svg, content_type="image/svg+xml")
        response.headers["Content-Security-Policy"] = (
            "default-src 'none'; img-src data:; style-src 'unsafe-inline'; sandbox"
        )
        return dressed(response, keep=True)
    kept = {one.role: one for one in link.sheet.pictures.all()}.get(role)
    if kept is None:
        return quiet()
    try:
        with kept.picture.open("rb") as file:
            content = small_picture(file.read())
    except OSError:
        return quiet()
    return dressed(HttpResponse(content, content_type="image/webp"), keep=True)


@login_not_required
@require_safe
def shared_file(request: HttpRequest, token: str) -> HttpResponseBase:
    """The file of a shared sheet as it was issued."""
    link = _found(token)
    if link is None:
        return quiet()
    try:
        response = kept_file(link.sheet.file, "application/pdf", filename=file_name(link.sheet))
    except Http404:
        return quiet()
    return dressed(response)


def _found(token: str) -> SheetLink | None:
    today: datetime.date = clock.today()
    return sheet_links.find_shared(token, today=today)


def quiet() -> HttpResponse:
    """Closed, run out, mistyped or guessed: the same answer, which says nothing of any sheet."""
    answer = HttpResponse(render_to_string("buyers/shared_nothing.html"), status=404)
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
    found = (finders.find(f"buyers/{name}.css") for name in names)
    return "".join(Path(str(path)).read_text("utf-8") for path in found)
