"""Kept pictures as answers: the file of one, which never changes under its name."""

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponseBase

from breeding.words.language import tell


def kept_picture(field: FieldFile) -> HttpResponseBase:
    """The JPEG of a field, for a week in the browser; 404 in words when its file is missing."""
    try:
        response = FileResponse(field.open("rb"), content_type="image/jpeg")
    except FileNotFoundError:
        raise Http404(tell("The file of this picture is missing.")) from None
    return for_a_week(response)


def for_a_week(response: HttpResponseBase) -> HttpResponseBase:
    """Kept by the reader's own browser, and by nobody in between."""
    response.headers["Cache-Control"] = "private, max-age=604800, immutable"
    return response
