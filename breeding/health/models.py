"""Observations, treatments, visits of a veterinarian, quarantines and deaths: facts only."""

import datetime

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal, Photograph
from breeding.housing.models import Tank
from breeding.program.fields import NameField
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.days import long_day
from breeding.words.language import tell

_ONE_OF_TWO = Q(animal__isnull=False, tank__isnull=True) | Q(
    animal__isnull=True, tank__isnull=False
)


def _who(record: "Treatment | Visit") -> str:
    return str(record.animal or record.tank)


class Observation(Withdrawable):
    """Something that ails an animal, from a day until it was seen to be over.

    Bite marks and refused food are sightings and meals; they are not written down twice.
    """

    class Kind(models.TextChoices):
        THIN = "thin", _("thin, or hollow behind the eyes")
        BREATHING = "breathing", _("breathes fast")
        PALE = "pale", _("pale or mottled")
        SKIN = "skin", _("spots or film on the skin")
        CURLED = "curled", _("disc edge curled up")
        INJURY = "injury", _("hurt, not by a bite")
        LISTLESS = "listless", _("listless")
        RESTLESS = "restless", _("will not bury or hide")
        SWOLLEN = "swollen", _("swollen")
        SUNKEN = "sunken", _("belly sunken")
        WEAK = "weak", _("weak at birth")
        OTHER = "other", _("something else")

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="observations")
    kind = models.CharField(max_length=9, choices=Kind.choices)
    since = models.DateField(db_index=True)
    over_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=400, blank=True)
    photograph = models.ForeignKey(
        Photograph,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="observations",
    )

    objects = CountingRecords["Observation"]()
    every: models.Manager["Observation"] = models.Manager()

    class Meta:
        ordering = ["-since", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(over_on__isnull=True) | Q(over_on__gte=F("since")),
                name="observation_over_after_it_began",
                violation_error_message=_("It was over on the day it began, or later."),
            )
        ]

    def __str__(self) -> str:
        return tell(
            "{animal}: {what} since {day}",
            animal=self.animal,
            what=self.get_kind_display(),
            day=long_day(self.since),
        )

    @property
    def words(self) -> str:
        """What it is and since when: "breathes fast since 3 March 2026"."""
        return tell("{what} since {day}", what=self.get_kind_display(), day=long_day(self.since))

    @property
    def after_name(self) -> str:
        """What speaks against breeding it, after its name."""
        return tell("is not well ({what})", what=self.words)

    @property
    def picture(self) -> Photograph | None:
        """Its photograph, unless that was withdrawn."""
        return None if self.photograph is None or self.photograph.is_withdrawn else self.photograph


class Treatment(Withdrawable):
    """A remedy for one animal or for the water of a tank, as it was prescribed.

    until: the last day of it, empty while it goes on. hold_until: the first day on which those
    treated may be sold, moved and bred again. Without a prescriber it is recorded as such.
    """

    animal = models.ForeignKey(
        Animal,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="treatments",
    )
    tank = models.ForeignKey(
        Tank,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="treatments",
    )
    remedy = NameField(max_length=80)
    dose = NameField(
        max_length=120,
        blank=True,
        help_text=_("As prescribed, in the same words."),
    )
    prescribed_by = NameField(max_length=80, blank=True)
    against = models.CharField(max_length=200, blank=True)
    since = models.DateField(db_index=True)
    until = models.DateField(null=True, blank=True)
    hold_until = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=400, blank=True)
    reason = models.CharField(max_length=400, blank=True)  # why in spite of what was asked

    objects = CountingRecords["Treatment"]()
    every: models.Manager["Treatment"] = models.Manager()

    class Meta:
        ordering = ["-since", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=_ONE_OF_TWO,
                name="treatment_of_one_animal_or_tank",
                violation_error_message=_("A treatment is of an animal or of a tank; choose one."),
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")),
                name="treatment_ends_after_it_begins",
                violation_error_message=_("A treatment ends on the day it begins, or later."),
            ),
            models.CheckConstraint(
                condition=Q(hold_until__isnull=True) | Q(hold_until__gte=F("since")),
                name="treatment_hold_after_it_begins",
                violation_error_message=_(
                    "The day until which nothing is done with those treated "
                    "is that on which the treatment begins, or later."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell(
            "{who}: {remedy} since {day}",
            who=_who(self),
            remedy=self.remedy,
            day=long_day(self.since),
        )

    def get_absolute_url(self) -> str:
        return reverse("health:treatment", args=[self.pk])

    def goes_on(self, on: datetime.date) -> bool:
        """Whether the remedy is given on that day; its last day counts."""
        return self.since <= on and (self.until is None or on <= self.until)

    def free_from(self, on: datetime.date) -> datetime.date | None:
        """The first day on which those treated are free again, as it is known on a day.

        None: as long as it goes on, and nobody knows how long.
        """
        if self.until is None:
            return self.hold_until if self.hold_until and on < self.hold_until else None
        return self.hold_until or self.until + datetime.timedelta(days=1)


class Visit(Withdrawable):
    """A veterinarian who looked at an animal or a tank, and what was found."""

    animal = models.ForeignKey(
        Animal,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="visits",
    )
    tank = models.ForeignKey(
        Tank,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="visits",
    )
    on = models.DateField(db_index=True)
    by = NameField(max_length=80, blank=True)
    found = models.TextField(max_length=2000, blank=True)
    look_again_on = models.DateField(null=True, blank=True)

    objects = CountingRecords["Visit"]()
    every: models.Manager["Visit"] = models.Manager()

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=_ONE_OF_TWO,
                name="visit_to_one_animal_or_tank",
                violation_error_message=_("A visit is to an animal or to a tank; choose one."),
            )
        ]

    def __str__(self) -> str:
        return tell(
            "{who}, looked at by a veterinarian on {day}", who=_who(self), day=long_day(self.on)
        )

    def get_absolute_url(self) -> str:
        """Where it is read: the page of whoever was looked at."""
        who: Animal | Tank | None = self.animal or self.tank
        return who.get_absolute_url() if who is not None else reverse("health:index")


class Quarantine(Withdrawable):
    """What was said of an animal kept apart: since when, for how long, and how it ended.

    since: None where its stay in a tank for quarantine says so by itself; then this is only the
    end of it. From when its days are reckoned, `health/quarantine.py` says.
    """

    part_of = "animal"

    class Result(models.TextChoices):
        CLEAR = "clear", _("nothing found")
        TREATED = "treated", _("was ill, and is well")
        CUT_SHORT = "cut_short", _("ended before its time")

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="quarantines")
    since = models.DateField(null=True, blank=True, db_index=True)
    least_days = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1)]
    )
    ended_on = models.DateField(null=True, blank=True)
    result = models.CharField(max_length=9, choices=Result.choices, blank=True)
    note = models.CharField(max_length=400, blank=True)

    objects = CountingRecords["Quarantine"]()
    every: models.Manager["Quarantine"] = models.Manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ended_on__isnull=True, since__isnull=False, result="")
                | Q(ended_on__gte=F("since")) & ~Q(result="")
                | Q(ended_on__isnull=False, since__isnull=True) & ~Q(result=""),
                name="quarantine_ends_with_a_result",
                violation_error_message=_(
                    "A quarantine ends on the day it begins or later, with "
                    "how it ended; one that goes on has neither."
                ),
            ),
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(ended_on__isnull=True, withdrawn_at__isnull=True),
                name="quarantine_one_open",
                violation_error_message=_("This animal is in quarantine already; end that first."),
            ),
        ]

    def __str__(self) -> str:
        if self.since is None and self.ended_on is not None:
            return tell(
                "{animal} out of quarantine since {day}",
                animal=self.animal,
                day=long_day(self.ended_on),
            )
        return tell(
            "{animal} in quarantine since {day}",
            animal=self.animal,
            day=long_day(self.since or datetime.date.min),
        )


class Death(Withdrawable):
    """How an animal died, and what was found; the day stands with the animal itself."""

    part_of = "animal"

    class Cause(models.TextChoices):
        UNKNOWN = "unknown", _("not known")
        ILLNESS = "illness", _("an illness")
        BITE = "bite", _("a bite or crushing")
        WATER = "water", _("the water")
        FOOD = "food", _("would not eat")
        BIRTH = "birth", _("a birth")
        WEAK = "weak", _("weak from birth")
        ACCIDENT = "accident", _("an accident")
        JOURNEY = "journey", _("a journey")
        TREATMENT = "treatment", _("a treatment")
        AGE = "age", _("old age")
        PUT_DOWN = "put_down", _("put down")
        OTHER = "other", _("something else")

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="deaths")
    cause = models.CharField(max_length=9, choices=Cause.choices, default=Cause.UNKNOWN)
    is_by_laboratory = models.BooleanField(default=False)
    found_where = NameField(max_length=120, blank=True)
    ill_since = models.DateField(null=True, blank=True)
    circumstances = models.TextField(max_length=1000, blank=True)
    findings = models.TextField(max_length=2000, blank=True)
    examined_by = NameField(max_length=80, blank=True)
    photograph = models.ForeignKey(
        Photograph,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="deaths",
    )

    objects = CountingRecords["Death"]()
    every: models.Manager["Death"] = models.Manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(withdrawn_at__isnull=True),
                name="death_once",
                violation_error_message=_(
                    "How this animal died is on record already; change that."
                ),
            )
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.get_cause_display()}"

    @property
    def cause_words(self) -> str:
        """The cause, as surely as it is known: "an illness, suspected"."""
        if self.cause == self.Cause.UNKNOWN:
            return tell("not known")
        cause = self.get_cause_display()
        if self.is_by_laboratory:
            return tell("{cause}, a laboratory said so", cause=cause)
        return tell("{cause}, suspected", cause=cause)

    @property
    def picture(self) -> Photograph | None:
        """Its photograph, unless that was withdrawn."""
        return None if self.photograph is None or self.photograph.is_withdrawn else self.photograph
