"""Whether a sheet still stands: unaltered, and neither withdrawn nor replaced."""

import datetime
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models.fields.files import FieldFile
from django.utils import timezone
from django.utils.text import capfirst

from breeding import home
from breeding.program.models import Person
from breeding.sheets.differing import differences
from breeding.sheets.models import Sheet, SheetReturn, SheetWithdrawal
from breeding.sheets.sealing.attachment import NotASheet, attachment_of, frame_digest
from breeding.sheets.sealing.seal import digest, fingerprint, holds, packed
from breeding.sheets.services import document_to_sign
from breeding.words.days import plain_day
from breeding.words.numbers import joined


@dataclass(frozen=True)
class Standing:
    """What can be said of an issued sheet today."""

    is_signed: bool
    is_unaltered: bool  # facts, tree, pictures and file are the ones that were signed
    is_own_key: bool  # the key that this program signs with now
    fingerprint: str
    withdrawn_on: datetime.date | None
    replaced_by: str
    replaced_on: datetime.date | None
    differs_in: tuple[str, ...] = ()  # what the records say otherwise by now
    records_withdrawn_on: datetime.date | None = None
    # Withdrawals that were slips: the day of each, and the day it was brought back.
    returned: tuple[tuple[datetime.date, datetime.date], ...] = ()
    words_erased_on: datetime.date | None = None

    @property
    def is_good(self) -> bool:
        holds = not self.withdrawn_on and not self.replaced_by
        is_of_record = not self.differs_in and not self.records_withdrawn_on
        return self.is_unaltered and holds and is_of_record

    @property
    def verdict(self) -> str:
        """In a few words; withdrawn weighs more than replaced, and both more than the signature."""
        if self.withdrawn_on:
            return f"Withdrawn on {plain_day(self.withdrawn_on)}."
        if self.replaced_by:
            return f"Replaced by {self._replacement}."
        if self.records_withdrawn_on:
            return f"Its records were withdrawn on {plain_day(self.records_withdrawn_on)}."
        if self.differs_in:
            return "It differs from the records by now."
        if self.words_erased_on:
            return f"Words about a person were erased on {plain_day(self.words_erased_on)}."
        if not self.is_signed:
            return "Not signed."
        return "As issued: unaltered." if self.is_unaltered else "Not as issued."

    @property
    def reasons(self) -> str:
        """What the verdict means for whoever holds the sheet, and what the signature says."""
        said = []
        if self.withdrawn_on:
            said.append("It holds no more.")
            if self.replaced_by:
                said.append(f"{capfirst(self._replacement)} takes its place.")
        elif self.replaced_by:
            said.append("What stands below was issued, and has been corrected since.")
        if self.records_withdrawn_on:
            said.append("What was recorded of this animal is withdrawn and counts no more.")
        elif self.differs_in:
            said.append(f"Corrected on record since it was issued: {joined(self.differs_in)}.")
        for withdrawn_on, back_on in self.returned:
            said.append(
                f"It was withdrawn on {plain_day(withdrawn_on)} by mistake, and brought back on "
                f"{plain_day(back_on)}."
            )
        if self.words_erased_on:
            said.append(
                "The person asked for it, so what is kept here is no more the copy that was "
                "signed, and its file is gone. A file that was handed out before is still whole, "
                "and still proves itself."
            )
        elif not self.is_signed:
            said.append(
                "It was issued before sheets were signed, so nothing shows whether it was altered."
            )
        elif self.is_unaltered:
            said.append("Facts, pictures and file are the ones that were signed.")
        else:
            said.append("Something kept with it differs from what was signed: do not rely on it.")
        return " ".join(said)

    @property
    def _replacement(self) -> str:
        issued = plain_day(self.replaced_on) if self.replaced_on else ""
        return f"sheet {self.replaced_by} of {issued}" if issued else f"sheet {self.replaced_by}"


def own_fingerprint() -> str:
    """Of the key that this program signs with; empty when there is none yet or it is spoilt."""
    key = own_public_key()
    return fingerprint(key) if key else ""


def own_public_key() -> str:
    """Of the key that this program signs with, in hexadecimal; empty when there is none."""
    try:
        key = home.sheet_key(Path(settings.HOME))
    except (OSError, ValueError):
        return ""
    return key.public_key().public_bytes_raw().hex() if key else ""


def standing_of(sheet: Sheet) -> Standing:
    """Check the signature against all that is kept, and look for withdrawal and correction.

    Reads the pictures and the file of the sheet.
    """
    seal = sheet.seal
    withdrawal: SheetWithdrawal | None = getattr(sheet, "withdrawal", None)
    correction: Sheet | None = getattr(sheet, "correction", None)
    return Standing(
        is_signed=seal is not None,
        is_unaltered=_is_unaltered(sheet),
        is_own_key=seal is not None and seal.public_key == own_public_key(),
        fingerprint=seal.fingerprint if seal else "",
        withdrawn_on=withdrawal.withdrawn_on if withdrawal else None,
        replaced_by=correction.number if correction else "",
        replaced_on=correction.issued_on if correction else None,
        differs_in=() if correction else differences(sheet),
        records_withdrawn_on=timezone.localdate(at) if (at := sheet.animal.withdrawn_at) else None,
        returned=tuple(sheet.returns.values_list("withdrawn_on", "brought_back_on")),
        words_erased_on=sheet.words_erased_on,
    )


def _is_unaltered(sheet: Sheet) -> bool:
    seal = sheet.seal
    if seal is None:
        return False
    try:
        pictures = {one.role: digest(_read(one.picture)) for one in sheet.pictures.all()}
        content = _read(sheet.file)
        document = document_to_sign(sheet, pictures)
        return (
            sheet.number == sheet.facts.get("sheet_number")
            and sheet.issued_on.isoformat() == sheet.facts.get("issued_on")
            and holds(document, seal)
            and attachment_of(content) == packed(document, seal)
            and frame_digest(content) == sheet.file_frame_sha256
        )
    except (OSError, NotASheet, TypeError, ValueError, AttributeError):
        return False


def _read(field: FieldFile) -> bytes:
    with field.open("rb") as file:
        content: bytes = file.read()
    return content


@transaction.atomic
def withdraw_sheet(
    sheet: Sheet, *, by: Person | None, on: datetime.date, reason: str
) -> SheetWithdrawal:
    """Say that a sheet holds no more. It stays as issued; whoever looks it up is told.

    The reason is kept for the keepers and is not shown to others.
    """
    if SheetWithdrawal.objects.filter(sheet=sheet).exists():
        raise ValidationError(f"Sheet {sheet.number} has been withdrawn already.")
    if not reason.strip():
        raise ValidationError({"reason": "Say why it is withdrawn; the reason stays with it."})
    withdrawal = SheetWithdrawal(
        sheet=sheet, withdrawn_on=on, reason=reason.strip(), recorded_by=by
    )
    withdrawal.full_clean()
    withdrawal.save()
    return withdrawal


@transaction.atomic
def bring_back_sheet(sheet: Sheet, *, by: Person | None, on: datetime.date) -> SheetReturn:
    """Its withdrawal was a slip: it holds again. Whoever looks it up reads both days."""
    withdrawal = SheetWithdrawal.objects.select_for_update().filter(sheet=sheet).first()
    if withdrawal is None:
        raise ValidationError(f"Sheet {sheet.number} is not withdrawn.")
    back = SheetReturn.objects.create(
        sheet=sheet,
        withdrawn_on=withdrawal.withdrawn_on,
        withdrawn_by=withdrawal.recorded_by,
        reason=withdrawal.reason,
        brought_back_on=on,
        recorded_by=by,
    )
    withdrawal.delete()
    return back
