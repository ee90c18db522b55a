"""Whether a sheet still stands: unaltered, and neither withdrawn nor replaced."""

import datetime
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models.fields.files import FieldFile
from django.utils import timezone

from breeding import home
from breeding.program.models import Person
from breeding.sheets.differing import differences
from breeding.sheets.models import Sheet, SheetReturn, SheetWithdrawal
from breeding.sheets.sealing.attachment import NotASheet, attachment_of, frame_digest
from breeding.sheets.sealing.said_above import disowned_words
from breeding.sheets.sealing.seal import digest, fingerprint, holds, packed
from breeding.sheets.services import document_to_sign
from breeding.words.days import plain_day
from breeding.words.language import tell
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
    disowned: tuple[
        str, ...
    ] = ()  # what its owner signed of its key, as whoever checks it reads it

    @property
    def is_good(self) -> bool:
        holds = not self.withdrawn_on and not self.replaced_by
        is_of_record = not self.differs_in and not self.records_withdrawn_on
        return self.is_unaltered and holds and is_of_record and not self.disowned

    @property
    def verdict(self) -> str:
        """In a few words; withdrawn weighs most, then replaced, then a disowned key."""
        if self.withdrawn_on:
            return tell("Withdrawn on {day}.", day=plain_day(self.withdrawn_on))
        if self.replaced_by:
            return self._replaced_words
        if self.disowned:
            return tell("Its key is disowned by its owner.")
        if self.records_withdrawn_on:
            return tell(
                "Its records were withdrawn on {day}.", day=plain_day(self.records_withdrawn_on)
            )
        if self.differs_in:
            return tell("It differs from the records by now.")
        if self.words_erased_on:
            return tell(
                "Words about a person were erased on {day}.", day=plain_day(self.words_erased_on)
            )
        if not self.is_signed:
            return tell("Not signed.")
        return tell("As issued: unaltered.") if self.is_unaltered else tell("Not as issued.")

    @property
    def reasons(self) -> str:
        """What the verdict means for whoever holds the sheet, and what the signature says."""
        said = []
        if self.withdrawn_on:
            said.append(tell("It is no longer valid."))
            if self.replaced_by:
                said.append(self._replacing_words)
        elif self.replaced_by:
            said.append(tell("What stands below was issued, and has been corrected since."))
        said += self.disowned
        if self.records_withdrawn_on:
            said.append(tell("What was recorded of this animal is withdrawn and no longer counts."))
        elif self.differs_in:
            said.append(
                tell(
                    "Corrected on record since it was issued: {facts}.",
                    facts=joined(self.differs_in),
                )
            )
        for withdrawn_on, back_on in self.returned:
            said.append(
                tell(
                    "It was withdrawn on {day} by mistake, and brought back on {back_on}.",
                    day=plain_day(withdrawn_on),
                    back_on=plain_day(back_on),
                )
            )
        if self.words_erased_on:
            said.append(
                tell(
                    "The person asked for it, so what is stored here is no longer the copy that "
                    "was signed, and its file is gone. A file that was handed out before is still "
                    "whole, and still proves itself."
                )
            )
        elif not self.is_signed:
            said.append(
                tell(
                    "It was issued before sheets were signed, so nothing shows whether it was "
                    "altered."
                )
            )
        elif self.is_unaltered:
            said.append(tell("Facts, pictures and file are the ones that were signed."))
        else:
            said.append(
                tell("Something stored with it differs from what was signed: do not rely on it.")
            )
        return " ".join(said)

    @property
    def _replaced_words(self) -> str:
        if self.replaced_on is None:
            return tell("Replaced by sheet {number}.", number=self.replaced_by)
        day = plain_day(self.replaced_on)
        return tell("Replaced by sheet {number} of {day}.", number=self.replaced_by, day=day)

    @property
    def _replacing_words(self) -> str:
        if self.replaced_on is None:
            return tell("Sheet {number} takes its place.", number=self.replaced_by)
        day = plain_day(self.replaced_on)
        return tell("Sheet {number} of {day} takes its place.", number=self.replaced_by, day=day)


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
        disowned=_disowned(sheet),
    )


def _disowned(sheet: Sheet) -> tuple[str, ...]:
    """Nobody is asked about the key of today: what disowns it gives it up at once."""
    if not sheet.public_key or sheet.public_key == own_public_key():
        return ()
    return disowned_words(sheet.public_key, sheet.issued_on.isoformat())


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
        raise ValidationError(
            tell("Sheet {number} has been withdrawn already.", number=sheet.number)
        )
    if not reason.strip():
        raise ValidationError(
            {"reason": tell("Say why it is withdrawn; the reason stays with it.")}
        )
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
        raise ValidationError(tell("Sheet {number} is not withdrawn.", number=sheet.number))
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
