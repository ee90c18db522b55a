"""An issued sheet for whoever has its link."""

import datetime

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from breeding.program import clock
from breeding.program.frame.requests import PageRequest
from breeding.program.language.chosen import as_read_by
from breeding.sheets import standing
from breeding.sheets.contents.page import sheet_page
from breeding.sheets.models import Sheet, SheetLink
from breeding.sheets.shared import links
from breeding.sheets.shared.files import file_name, kept_file
from breeding.sheets.shared.strangers import dressed, quiet, small_picture, styles


@login_not_required
@require_safe
@gzip_page
def shared(request: PageRequest, token: str) -> HttpResponse:
    """The issued facts of one sheet, and whether it still stands.

    The page is packed for slow lines: it repeats nothing that a visitor typed, so packing tells
    an eavesdropper nothing.
    """
    link = _found(token)
    if link is None:
        return quiet()
    issued = link.sheet
    with as_read_by(issued, request.program):
        response = _page(token, issued)
        response.headers["Content-Language"] = issued.language
        return dressed(response)


def _page(token: str, issued: Sheet) -> HttpResponse:
    roles = [one.role for one in issued.pictures.all()]
    pictures = {role: reverse("sheets:shared_picture", args=[token, role]) for role in roles}
    context = {
        "page": sheet_page(issued.issued_facts, pictures),
        "standing": standing.standing_of(issued),
        "tree_address": reverse("sheets:shared_picture", args=[token, "tree"]),
        "has_file": bool(issued.file),
        "file_address": reverse("sheets:shared_file", args=[token]),
        "style": styles("sheets/sheet", "sheets/shared"),
    }
    # Without the request: nothing on the page depends on who looks.
    return HttpResponse(render_to_string("sheets/shared.html", context))


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
    return links.find_shared(token, today=today)
