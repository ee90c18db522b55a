"""Papers of origin written down, with the document itself kept as it came."""

import datetime
import hashlib
from io import BytesIO
from typing import Any, BinaryIO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction

from breeding.animals.models import Animal
from breeding.origin.models import OriginPaper
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.words.days import long_day
from breeding.words.language import message, tell

LARGEST_BYTES = 20_000_000
ALLOWED = message("a PDF, or a JPEG, PNG or WebP picture, of at most 20 MB")
ENDINGS = {
    "application/pdf": "pdf",
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/webp": "webp",
}
_PICTURES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}


@transaction.atomic
def add_origin_paper(
    animal: Animal,
    *,
    by: Person | None,
    today: datetime.date,
    document: BinaryIO | None = None,
    **facts: Any,
) -> OriginPaper:
    """Write down a paper; its document is kept byte for byte, for it is evidence.

    `facts` are source_code, permit_number, issued_by, dated and note. What counts is what is
    inside the file, not its name; no paper is from after `today`. Raises ValidationError by field.
    """
    paper = OriginPaper(animal=animal, recorded_by=by, **facts)
    content = b""
    if document is not None:
        content = document.read(LARGEST_BYTES + 1)
        paper.document_type = type_of(content)
        paper.document_sha256 = hashlib.sha256(content).hexdigest()
    said = (paper.source_code, paper.permit_number, paper.issued_by, paper.note, content)
    if not any(said):
        raise ValidationError(
            tell("Give at least a code, a number, who issued it, a note, or the document.")
        )
    if paper.dated and paper.dated > today:
        raise ValidationError(
            {"dated": tell("{day} is still to come; today or before.", day=long_day(paper.dated))}
        )
    paper.full_clean(validate_constraints=False)
    if content:
        name = f"{animal.pk}.{ENDINGS[paper.document_type]}"
        paper.document.save(name, ContentFile(content), save=False)
    try:
        with transaction.atomic():
            paper.save()
    except Exception:
        if content:
            paper.document.delete(save=False)
        raise
    return paper


@transaction.atomic
def change_origin_paper(
    paper: OriginPaper, *, today: datetime.date, animal: Animal, **facts: Any
) -> OriginPaper:
    """Put right what was written down of a paper; its document stays byte for byte.

    `facts` are source_code, permit_number, issued_by, dated and note. Raises ValidationError by
    field.
    """
    paper.animal = animal
    for name, value in facts.items():
        setattr(paper, name, value)
    said = (paper.source_code, paper.permit_number, paper.issued_by, paper.note, paper.document)
    if not any(said):
        raise ValidationError(tell("Give at least a code, a number, who issued it, or a note."))
    if paper.dated and paper.dated > today:
        raise ValidationError(
            {"dated": tell("{day} is still to come; today or before.", day=long_day(paper.dated))}
        )
    paper.full_clean(validate_constraints=False)
    with constraints.named(paper):
        paper.save()
    return paper


def type_of(content: bytes) -> str:
    """What a document is by what is in it. Raises ValidationError when it is none of those kept."""
    from PIL import Image

    if not content:
        raise ValidationError(
            {"document": tell("This file is empty. Choose {allowed}.", allowed=tell(ALLOWED))}
        )
    if len(content) > LARGEST_BYTES:
        raise ValidationError(
            {"document": tell("This file is too large. Choose {allowed}.", allowed=tell(ALLOWED))}
        )
    if content.startswith(b"%PDF-") and b"%%EOF" in content[-2048:]:
        return "application/pdf"
    try:
        with Image.open(BytesIO(content), formats=list(_PICTURES)) as picture:
            picture.verify()
            return _PICTURES[str(picture.format)]
    except Exception:
        raise ValidationError(
            {
                "document": tell(
                    "This file is not whole, or of another kind. Choose {allowed}.",
                    allowed=tell(ALLOWED),
                )
            }
        ) from None
