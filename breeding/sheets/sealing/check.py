"""What a sheet's file says of itself, from the file alone: no database, no network."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from breeding.sheets.contents.facts import SheetFacts
from breeding.sheets.sealing.attachment import NotASheet, attachment_of, frame_digest
from breeding.sheets.sealing.seal import Seal, canonical, holds, unpacked
from breeding.words.language import tell


class Altered(ValueError):  # noqa: N818 - read aloud it says what happened
    """The file is a sheet, and differs from what was signed; the text says in what."""


@dataclass(frozen=True)
class CheckedSheet:
    """A sheet whose every byte is covered by its signature. Whose key that is, it cannot say."""

    facts: SheetFacts
    seal: Seal
    paper: str
    ancestry: Mapping[str, Any] = field(default_factory=dict)  # as data, where it carries it


def check_file(content: bytes) -> CheckedSheet:
    """Check the bytes of a PDF against the signed facts attached to it.

    The signature covers the attached facts and, through a digest among them, every other byte of
    the file: words, pictures, drawing, how they are laid out and the tables that hold it together.
    It does not say who holds the key, that the facts were true, or what became of the sheet since.

    Raises NotASheet when it is no signed sheet of this tool, or was saved again by another
    program; Altered when it is one and a byte of it differs. Cost: linear.
    """
    if not content.startswith(b"%PDF-"):
        raise NotASheet(tell("It is no PDF file."))
    if not re.search(rb"/Type\s*/EmbeddedFile", content):
        raise NotASheet(
            tell("No signed facts are attached to it, or another program has packed them.")
        )
    try:
        document, seal = unpacked(attachment_of(content))
        frame = frame_digest(content)
    except ValueError as problem:  # NotASheet is one
        raise Altered(str(problem)) from None
    if not holds(document, seal):
        raise Altered(tell("The attached facts are not the ones that were signed."))
    if document.get("file_frame_sha256") != frame:
        raise Altered(tell("What the pages show is not what was signed."))
    carried = document.get("ancestry")
    ancestry = carried if isinstance(carried, dict) else {}
    return CheckedSheet(_facts(document), seal, str(document.get("paper")), ancestry)


def _facts(document: dict[str, Any]) -> SheetFacts:
    try:
        return SheetFacts.from_json(canonical(document["facts"]).decode())
    except (KeyError, TypeError, ValueError) as problem:
        raise Altered(
            tell("The signed facts are no facts of a sheet: {why}", why=problem)
        ) from None
