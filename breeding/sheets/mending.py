"""How an issued sheet is withdrawn and brought back: it stays as issued, and its readers are told.

It is never changed: it is signed and was handed out. What is wrong on it, a correction says.
"""

import datetime
from typing import Any

from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from breeding.program.acts.mending import AnyKind, Way
from breeding.program.models import Person, Program
from breeding.sheets import standing
from breeding.sheets.models import Sheet, SheetWithdrawal
from breeding.words.days import plain_day
from breeding.words.language import tell
from breeding.words.stored import read_stored


class SheetKind(AnyKind[Sheet]):
    key = "sheet"
    model = Sheet
    related = ("animal",)

    def called(self, record: Sheet) -> str:
        return tell("sheet {number}", number=record.number)

    def beside(self, record: Sheet) -> str:
        return tell(
            "{animal}, issued {day}",
            animal=record.animal.full_name,
            day=plain_day(record.issued_on),
        )

    def lede(self, record: Sheet, *, program: Program, today: datetime.date) -> str:
        return tell(
            "It stays as it was issued. Whoever opens its link is told that it is no longer "
            "valid; the reason is for keepers only."
        )

    def instead(self, record: Sheet) -> Way:
        address = reverse("sheets:new", args=[record.animal_id])
        corrects = urlencode({"corrects": record.number})
        words = tell("issue a correction in its place")
        return Way(words, f"{address}?{corrects}", before=tell("To put something right,"))

    def crumb(self, record: Sheet) -> Way:
        return Way(tell("Sheet {number}", number=record.number), record.get_absolute_url())

    def follows(self, record: Sheet) -> str:
        return tell("Whoever opens its link is told.")

    def withdrawn(self, record: Sheet) -> str:
        kept = SheetWithdrawal.objects.filter(sheet=record).select_related("recorded_by").first()
        if kept is None:
            return ""
        day = plain_day(kept.withdrawn_on)
        if kept.recorded_by is None:
            return tell("Withdrawn on {day}: {reason}", day=day, reason=read_stored(kept.reason))
        return tell(
            "Withdrawn on {day} by {person}: {reason}",
            day=day,
            person=kept.recorded_by,
            reason=read_stored(kept.reason),
        )

    def act(
        self, record: Sheet, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        today = timezone.localdate(now)
        standing.withdraw_sheet(record, by=by, on=today, reason=facts["reason"])

    def may_come_back(self, record: Sheet) -> bool:
        return True

    def return_to_count(self, record: Sheet, *, by: Person, now: datetime.datetime) -> None:
        standing.bring_back_sheet(record, by=by, on=timezone.localdate(now))

    def returns(self, record: Sheet) -> str:
        return tell("Whoever opens its link reads when it was withdrawn, and that this was a slip.")


KINDS = (SheetKind(),)
