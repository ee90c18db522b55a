"""Files kept with a sheet, as they are sent."""

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponseBase
from django.utils.text import slugify

from breeding.sheets.models import Sheet


def file_name(issued: Sheet) -> str:
    name = slugify(issued.issued_facts.animal.shown_name)
    return f"parentage-sheet-{issued.number}{f'-{name}' if name else ''}.pdf"


def kept_file(field: FieldFile, content_type: str, filename: str = "") -> HttpResponseBase:
    """A file kept with a sheet, which never changes."""
    if not field:
        raise Http404("Its file was erased with words about a person who asked for it.")
    try:
        response = FileResponse(field.open("rb"), content_type=content_type, filename=filename)
    except FileNotFoundError:
        raise Http404("The file that was kept with this sheet is missing.") from None
    response.headers["Cache-Control"] = "private, max-age=604800, immutable"
    return response
