"""Files that people give each other, a signed ancestry or a parentage sheet: what each says."""

from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from breeding import home
from breeding.exchange.ancestry import Refused, Word, read_word
from breeding.exchange.ancestry.reading import word_of_document
from breeding.sheets.contents.facts import SheetFacts
from breeding.sheets.models import Sheet
from breeding.sheets.sealing.attachment import NotASheet
from breeding.sheets.sealing.check import Altered, CheckedSheet, check_file
from breeding.sheets.sealing.seal import fingerprint
from breeding.words.language import tell

LARGEST_BYTES = 20_000_000


@dataclass(frozen=True)
class Checked:
    """What can be said of one file. verdict: "good", "altered", "withdrawn", "replaced", "none"."""

    verdict: str
    problem: str = ""
    facts: SheetFacts | None = None
    word: Word | None = None
    key: str = ""
    is_own_key: bool = False

    @property
    def fingerprint(self) -> str:
        return fingerprint(self.key) if self.key else ""


def read_given(content: bytes) -> Word:
    """The ancestry of a signed file, or of a sheet that carries it. Raises ValueError in words."""
    if not content.startswith(b"%PDF-"):
        return read_word(content)
    try:
        found = check_file(content)
    except Altered as problem:
        said = tell("This sheet is not as it was signed. {problem}", problem=problem)
        raise Refused(said) from None
    if not found.ancestry:
        raise Refused(
            tell("This sheet carries no ancestry as data; ask the breeder for the file of it.")
        )
    return word_of_document(found.ancestry, found.seal.public_key)


def checked_of(content: bytes) -> Checked:
    """Whether a file is as it was signed, by whose key, and what this program knows of it."""
    if content.startswith(b"%PDF-"):
        return _checked_sheet(content)
    try:
        word = read_word(content)
    except Refused as problem:
        return Checked("altered", str(problem))
    return Checked("good", word=word, key=word.key, is_own_key=word.key == own_public())


def _checked_sheet(content: bytes) -> Checked:
    try:
        found = check_file(content)
    except NotASheet as problem:
        return Checked("none", str(problem))
    except Altered as problem:
        return Checked("altered", str(problem))
    key, own = found.seal.public_key, own_public()
    verdict = _standing(found.facts.sheet_number) if key == own else "good"
    return Checked(verdict, "", found.facts, _carried(found), key, key == own)


def _carried(found: CheckedSheet) -> Word | None:
    try:
        return word_of_document(found.ancestry, found.seal.public_key) if found.ancestry else None
    except Refused:
        return None


def _standing(number: str) -> str:
    """What became of a sheet of this program since."""
    sheet = Sheet.objects.filter(number=number).select_related("withdrawal", "correction").first()
    if sheet is None:
        return "good"
    if sheet.is_withdrawn:
        return "withdrawn"
    return "replaced" if hasattr(sheet, "correction") else "good"


def own_public() -> str:
    """The public key of this program, 64 hexadecimal figures; empty while there is none."""
    try:
        key = home.sheet_key(Path(settings.HOME))
    except (OSError, ValueError):
        return ""
    return key.public_key().public_bytes_raw().hex() if key else ""
