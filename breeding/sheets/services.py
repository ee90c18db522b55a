"""Acts for sheets: one issued for good, numbered, signed and kept."""

import datetime
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast, get_args

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile

from breeding import home
from breeding.animals.models import Animal
from breeding.buyers.models import Contact
from breeding.buyers.services import check_on_record
from breeding.program.language.chosen import Reader, as_read_by, is_known
from breeding.program.models import Person, Program
from breeding.program.problems import constraints
from breeding.program.queries import the_program
from breeding.sheets.carried import carried
from breeding.sheets.contents.draft import Draft, draft_sheet
from breeding.sheets.contents.facts import SheetFacts
from breeding.sheets.models import Sheet, SheetLink, SheetPicture
from breeding.sheets.pdf import Paper, SheetTooLong, render_pdf
from breeding.sheets.sealing.lost_key import LOST, is_lost
from breeding.sheets.sealing.seal import digest, document_of, fingerprint, packed, sign
from breeding.sheets.shared.links import address_of, is_only_local, new_link
from breeding.words.descent.ancestry import GENERATIONS
from breeding.words.language import tell, tell_many

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

TREE_GENERATIONS = (3, 4, 5)
TRIES = 20  # for a number, when several people issue at the same moment


def next_number(on: datetime.date) -> str:
    """Year and number within the year: 2026-001."""
    year = f"{on.year}-"
    taken = Sheet.objects.filter(number__startswith=year).values_list("number", flat=True)
    numbers = [int(number[len(year) :]) for number in taken if number[len(year) :].isdigit()]
    return f"{year}{max(numbers, default=0) + 1:03d}"


def issue_sheet(
    animal: Animal,
    *,
    by: Person | None,
    on: datetime.date,
    contact: Contact | None = None,
    paper: str = "a4",
    journey_hours: int | None = None,
    generations: int = GENERATIONS,
    corrects: Sheet | None = None,
    base_address: str = "",
    language: str = "",
    with_ancestry: bool = False,
) -> Sheet:
    """Issue a parentage sheet: numbered and signed, its facts, pictures, tree and file kept.

    It is written in `language`, else in the buyer's, else in the program's, and stays in it.

    `with_ancestry`: whether it carries the ancestry as data, for other programs to read.
    The contact is kept with the sheet and does not stand on it. `corrects` is the sheet that this
    one takes the place of. `base_address` is where this program is reached; a code printed on the
    paper leads to the issued facts there. Without it, or where nobody outside could reach it, there
    is no code: it would be dead on paper. The sheet is typeset before
    anything is written, so that nobody waits for it; when somebody else takes the number
    meanwhile, it is typeset again with the next one. Raises ValidationError for another paper, a
    sheet that cannot be corrected, and when the words do not fit on two pages.
    """
    with in_language_of(contact, language):
        return _issue(
            animal,
            by=by,
            on=on,
            contact=contact,
            paper=paper,
            journey_hours=journey_hours,
            generations=generations,
            corrects=corrects,
            base_address=base_address,
            with_ancestry=with_ancestry,
        )


@contextmanager
def in_language_of(
    contact: Contact | None, chosen: str = "", *, program: Program | None = None
) -> Iterator[None]:
    """Within it a sheet is written as its buyer reads it, whoever writes it."""
    reader = Reader(chosen) if is_known(chosen) else contact
    with as_read_by(reader, program or the_program()):
        yield


def _issue(
    animal: Animal,
    *,
    by: Person | None,
    on: datetime.date,
    contact: Contact | None,
    paper: str,
    journey_hours: int | None,
    generations: int,
    corrects: Sheet | None,
    base_address: str,
    with_ancestry: bool,
) -> Sheet:
    _check_form(paper, generations)
    if contact is not None:
        check_on_record(contact)
    if corrects is not None:
        _check_can_be_corrected(corrects, animal)
    draft = draft_sheet(
        animal,
        program=the_program(),
        by=by,
        on=on,
        is_for_buyer=contact is not None,
        journey_hours=journey_hours,
        generations=generations,
        corrects=corrects.number if corrects else "",
    )
    pictures = _read_pictures(draft)
    key = _signing_key()
    digests = {role: digest(picture) for role, picture in pictures.items()}
    link = new_link(by=by)
    public = key.public_key().public_bytes_raw().hex()
    ancestry = carried(animal, public_key=public, on=on) if with_ancestry else {}
    for _ in range(TRIES):
        facts = replace(draft.facts, sheet_number=next_number(on))
        sheet = Sheet(
            number=facts.sheet_number,
            animal=animal,
            contact=contact,
            issued_on=on,
            issued_by=by,
            facts=_as_kept(facts),
            tree_svg=facts.tree,
            ancestry=ancestry,
            paper=paper,
            corrects=corrects,
        )

        content = _file_of(
            facts,
            pictures,
            cast(Paper, paper),
            link="" if is_only_local(base_address) else address_of(link, base_address),
            fingerprint=fingerprint(public),
            seal=partial(_sealed, sheet, digests, key),
        )
        if _keep(sheet, content, pictures, link):
            return sheet
    raise ValidationError(tell("Several sheets are being issued at this moment; try again."))


def _check_form(paper: str, generations: int) -> None:
    """Raise ValidationError, by field, for a paper or a tree that is not offered."""
    if paper not in get_args(Paper):
        raise ValidationError(
            {
                "paper": tell(
                    "“{paper}” is not a paper size: {allowed}.",
                    paper=paper,
                    allowed=", ".join(get_args(Paper)),
                )
            }
        )
    if generations not in TREE_GENERATIONS:
        raise ValidationError(
            {
                "generations": tell_many(
                    "A tree of {number} generation is not offered; 3 to 5 are.",
                    "A tree of {number} generations is not offered; 3 to 5 are.",
                    generations,
                )
            }
        )


def _signing_key() -> "Ed25519PrivateKey":
    """Raise ValidationError where there is none to sign with: lost, or not to be read."""
    try:
        key = home.sheet_key(Path(settings.HOME), make=not is_lost(Path(settings.HOME)))
    except (OSError, ValueError) as problem:
        raise ValidationError(
            tell("The sheet cannot be signed. {problem}", problem=problem)
        ) from None
    if key is None:
        words = tell(LOST, name=home.SHEET_KEY_FILE)
        raise ValidationError(
            tell(
                "{problem} Whoever runs the program puts it back, or starts with --new-sheet-key.",
                problem=words,
            )
        )
    return key


def _sealed(
    sheet: Sheet, digests: dict[str, str], key: "Ed25519PrivateKey", file_frame: str
) -> bytes:
    """Sign the sheet once the rest of its file is known; what is to be attached to the file."""
    sheet.file_frame_sha256 = file_frame
    document = document_to_sign(sheet, digests)
    seal = sign(document, key)
    sheet.signature, sheet.public_key = seal.signature, seal.public_key
    return packed(document, seal)


def document_to_sign(sheet: Sheet, pictures: dict[str, str]) -> dict[str, Any]:
    """What is signed of a sheet: all it says, from what is kept of it and nothing else.

    `pictures` holds the digest of each kept picture by its role.
    """
    return document_of(
        facts=sheet.facts,
        tree=sheet.tree_svg,
        pictures=pictures,
        file_frame=sheet.file_frame_sha256,
        paper=sheet.paper,
        corrects=sheet.corrects.number if sheet.corrects else "",
        ancestry=sheet.ancestry,
    )


def _check_can_be_corrected(sheet: Sheet, animal: Animal) -> None:
    if sheet.animal_id != animal.pk:
        raise ValidationError(
            tell(
                "Sheet {number} is about {animal}, not {other}.",
                number=sheet.number,
                animal=sheet.animal,
                other=animal,
            )
        )
    later = Sheet.objects.filter(corrects=sheet).first()
    if later is not None:
        raise ValidationError(
            tell(
                "Sheet {number} has been replaced by {later}; correct that one.",
                number=sheet.number,
                later=later.number,
            )
        )


def _read_pictures(draft: Draft) -> dict[str, bytes]:
    found = {}
    for key, photograph in draft.pictures.items():
        with photograph.picture.open("rb") as file:
            found[key] = file.read()
    return found


def _as_kept(facts: SheetFacts) -> dict[str, Any]:
    """Plain values for the column; the tree has a column of its own."""
    kept: dict[str, Any] = json.loads(replace(facts, tree="").to_json())
    return kept


def _file_of(
    facts: SheetFacts,
    pictures: dict[str, bytes],
    paper: Paper,
    *,
    link: str,
    fingerprint: str,
    seal: Callable[[str], bytes],
) -> bytes:
    try:
        return render_pdf(
            facts, pictures, paper=paper, link=link, fingerprint=fingerprint, seal=seal
        )
    except SheetTooLong as problem:
        raise ValidationError(str(problem)) from None


def _keep(sheet: Sheet, content: bytes, pictures: dict[str, bytes], link: SheetLink) -> bool:
    """Write everything or nothing; False when the number was taken meanwhile."""
    written = []
    try:
        with constraints.named(sheet):
            sheet.file.save(f"{sheet.number}.pdf", ContentFile(content), save=False)
            written.append(sheet.file)
            sheet.save(force_insert=True)
            for role, picture in pictures.items():
                kept = SheetPicture(sheet=sheet, role=role)
                kept.picture.save(f"{sheet.number}-{role}.jpg", ContentFile(picture), save=False)
                written.append(kept.picture)
                kept.save()
            link.pk, link.sheet = None, sheet
            link.save(force_insert=True)
    except Exception as problem:
        for file in written:
            file.delete(save=False)
        if isinstance(problem, ValidationError) and constraints.is_taken(problem, "number"):
            return False
        raise
    return True
