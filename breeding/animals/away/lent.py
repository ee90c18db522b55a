"""The days an animal was lent, as they are kept."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.days import long_day
from breeding.words.language import tell


class Loan(Withdrawable):
    """The days an animal was lent: with whom it was then, nobody knows. Open while it is away.

    Written by what is said of where it stands. `Loan.objects` holds those that count.
    """

    part_of = "animal"

    animal = models.ForeignKey("animals.Animal", on_delete=models.PROTECT, related_name="loans")
    since = models.DateField()
    until = models.DateField(null=True, blank=True)

    objects = CountingRecords["Loan"]()
    every: models.Manager["Loan"] = models.Manager()

    class Meta:
        ordering = ["-since", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")),
                name="loan_ends_after_it_begins",
                violation_error_message=_("A loan ends on the day it begins, or later."),
            ),
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(until__isnull=True, withdrawn_at__isnull=True),
                name="loan_one_open",
                violation_error_message=_("This animal is on loan already."),
            ),
        ]

    def __str__(self) -> str:
        since = long_day(self.since)
        if self.until is None:
            return tell("{animal} on loan from {since}", animal=self.animal, since=since)
        until = long_day(self.until)
        return tell(
            "{animal} on loan from {since} to {until}",
            animal=self.animal,
            since=since,
            until=until,
        )
