"""What of origin papers can be found."""

from breeding.origin.models import OriginPaper
from breeding.program.found import Found

FOUND = (
    Found(
        "origin_paper",
        OriginPaper,
        "notes",
        names=("permit_number",),
        texts=("issued_by", "note"),
    ),
)
