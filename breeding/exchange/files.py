"""Files that people give each other, a signed ancestry or a parentage sheet: what each says."""

from dataclasses import dataclass

from breeding.exchange.ancestry import NeverSigned, Refused, Word, read_word
from breeding.exchange.ancestry.reading import word_of_document
from breeding.exchange.codes.fields import LARGEST_BYTES
from breeding.exchange.codes.seen import contents_of, is_picture
from breeding.exchange.keys.heard import Heard, sentences_of
from breeding.exchange.keys.reading import said_of
from breeding.sheets.contents.facts import SheetFacts
from breeding.sheets.models import Sheet
from breeding.sheets.sealing.attachment import NotASheet
from breeding.sheets.sealing.check import Altered, CheckedSheet, check_file
from breeding.sheets.sealing.key_said import DISOWNED, EARLIER_OWN, OWN, KeySaid
from breeding.sheets.sealing.key_words import KeyWord, NotAKeyWord, is_key_file, read_key_file
from breeding.sheets.sealing.seal import fingerprint
from breeding.sheets.standing import own_public_key
from breeding.words.language import tell


@dataclass(frozen=True)
class Checked:
    """What can be said of one file.

    verdict: "good", "altered", "withdrawn", "replaced", "disowned", "none"; "keys" for a file that
    speaks of keys alone. said: of the key that signed it.
    """

    verdict: str
    problem: str = ""
    facts: SheetFacts | None = None
    word: Word | None = None
    key: str = ""
    said: KeySaid | None = None
    heard: tuple[Heard, ...] = ()

    @property
    def fingerprint(self) -> str:
        return fingerprint(self.key) if self.key else ""


def read_given(content: bytes) -> Word:
    """The ancestry of a signed file, of a sheet that carries it, or of a picture of its code.

    Raises ValueError, in words.
    """
    if is_picture(content):
        (content,) = contents_of([content])
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


def read_keys(content: bytes) -> tuple[KeyWord, ...]:
    """What a file says of keys alone. Raises Refused, in words."""
    try:
        return read_key_file(content)
    except NotAKeyWord as problem:
        raise Refused(str(problem)) from None


def checked_of(content: bytes, *, is_stranger: bool = True) -> Checked:
    """Whether a file is as it was signed, by whose key, and what this program knows of it.

    To strangers nothing is said of what the keeper was told of keys.
    """
    if is_picture(content):
        try:
            (content,) = contents_of([content])
        except ValueError as problem:
            return Checked("none", str(problem))
    if content.startswith(b"%PDF-"):
        return _checked_sheet(content, is_stranger)
    try:
        if is_key_file(content):
            return Checked("keys", heard=tuple(sentences_of(read_keys(content), is_stranger)))
        word = read_word(content)
    except NeverSigned as problem:
        return Checked("none", str(problem))
    except Refused as problem:
        return Checked("altered", str(problem))
    said = said_of(word.key, word.issued_on, word.keys, is_stranger=is_stranger)
    return Checked(_by_key("good", said), word=word, key=word.key, said=said)


def _checked_sheet(content: bytes, is_stranger: bool) -> Checked:
    try:
        found = check_file(content)
    except NotASheet as problem:
        return Checked("none", str(problem))
    except Altered as problem:
        return Checked("altered", str(problem))
    key = found.seal.public_key
    word = _carried(found)
    on = found.facts.issued_on.isoformat()
    said = said_of(key, on, word.keys if word else (), is_stranger=is_stranger)
    verdict = _standing(found.facts.sheet_number) if said.state in (OWN, EARLIER_OWN) else "good"
    return Checked(_by_key(verdict, said), "", found.facts, word, key, said)


def _by_key(verdict: str, said: KeySaid) -> str:
    return DISOWNED if said.state == DISOWNED else verdict


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


__all__ = ["LARGEST_BYTES", "Checked", "checked_of", "own_public", "read_given", "read_keys"]


def own_public() -> str:
    """The public key of this program, 64 hexadecimal figures; empty while there is none."""
    return own_public_key()
