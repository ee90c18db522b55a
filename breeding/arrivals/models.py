"""How animals came, from whom and for what, and animals lent in both directions."""

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.buyers.models import CURRENCY, Contact
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.days import long_day
from breeding.words.language import tell


class Arrival(Withdrawable):
    """An animal that came on a day, from somebody; those of one seller and day came together."""

    class Pregnant(models.TextChoices):
        UNKNOWN = "", _("not known")
        YES = "yes", _("said to be pregnant")
        SCAN = "scan", _("pups seen on a scan")
        NO = "no", _("said not to be")

    part_of = "animal"
    follows = ""  # what was said of whom it met; not kept

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="arrivals")
    on = models.DateField(db_index=True)
    contact = models.ForeignKey(
        Contact, on_delete=models.PROTECT, null=True, blank=True, related_name="arrivals"
    )
    price = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    currency = models.CharField(max_length=3, blank=True, validators=[CURRENCY])
    papers = models.CharField(max_length=400, blank=True)
    pregnant = models.CharField(max_length=4, choices=Pregnant.choices, blank=True)
    note = models.CharField(max_length=400, blank=True)

    objects = CountingRecords["Arrival"]()
    every: models.Manager["Arrival"] = models.Manager()

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(price__isnull=True, currency="")
                | Q(price__isnull=False, price__gte=0) & ~Q(currency=""),
                name="arrival_price_with_currency",
                violation_error_message=_(
                    "A price is 0 or more with its currency; without an "
                    "amount there is no currency."
                ),
            ),
            models.UniqueConstraint(
                fields=["animal", "on"],
                condition=Q(withdrawn_at__isnull=True),
                name="arrival_once_a_day",
                violation_error_message=_(
                    "How this animal came on that day is written down; change that."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell("{animal} came on {day}", animal=self.animal, day=long_day(self.on))


class LoanAgreement(Withdrawable):
    """An animal lent to somebody, or by somebody to this program: until when, and on what terms."""

    class Direction(models.TextChoices):
        OUT = "out", _("lent to somebody")
        IN = "in", _("lent by somebody")

    follows = ""  # what was said of what ended with it; not kept
    young: Any = None  # what was given so far, as young.py reckons it; not kept

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="loan_agreements")
    direction = models.CharField(max_length=3, choices=Direction.choices)
    contact = models.ForeignKey(
        Contact, on_delete=models.PROTECT, null=True, blank=True, related_name="loan_agreements"
    )
    since = models.DateField()
    due_back_on = models.DateField(null=True, blank=True)
    back_on = models.DateField(null=True, blank=True)
    terms = models.TextField(max_length=1000, blank=True)
    young_owed = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(60)]
    )
    young_given = models.PositiveSmallIntegerField(
        default=0,
        validators=[MaxValueValidator(60)],
        help_text=_("Beside those that are named: young that are on no record here."),
    )

    objects = CountingRecords["LoanAgreement"]()
    every: models.Manager["LoanAgreement"] = models.Manager()

    class Meta:
        ordering = ["-since", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(back_on__isnull=True) | Q(back_on__gte=F("since")),
                name="loanagreement_back_after_it_began",
                violation_error_message=_("It was back on the day it was lent, or later."),
            ),
            models.CheckConstraint(
                condition=Q(due_back_on__isnull=True) | Q(due_back_on__gte=F("since")),
                name="loanagreement_due_after_it_began",
                violation_error_message=_("It is due back on the day it was lent, or later."),
            ),
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(back_on__isnull=True, withdrawn_at__isnull=True),
                name="loanagreement_one_open",
                violation_error_message=_("This animal is lent already; end that loan first."),
            ),
        ]

    @property
    def is_open(self) -> bool:
        return self.back_on is None and not self.is_withdrawn

    @property
    def is_out(self) -> bool:
        return self.direction == self.Direction.OUT

    def __str__(self) -> str:
        return tell(
            "{animal}, {direction} on {day}",
            animal=self.animal,
            direction=self.get_direction_display(),
            day=long_day(self.since),
        )


class YoungGiven(Withdrawable):
    """A young one that is meant for a loan; when it counts as given, `young.py` says."""

    part_of = "agreement"

    agreement = models.ForeignKey(LoanAgreement, on_delete=models.PROTECT, related_name="named")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="loans_given_for")
    on = models.DateField()

    objects = CountingRecords["YoungGiven"]()
    every: models.Manager["YoungGiven"] = models.Manager()

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(withdrawn_at__isnull=True),
                name="younggiven_for_one_loan",
                violation_error_message=_(
                    "This animal is given for a loan already; take it out there first."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell(
            "{animal}, given for the loan of {lent}",
            animal=self.animal,
            lent=self.agreement.animal,
        )
