"""Litters and their pups; parents belong to the animal, the litter records the event."""

import datetime

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.pairings.models import Outcome
from breeding.program.fields import NameField
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.language import tell, tell_many


class Litter(Withdrawable):
    """One birth."""

    code = NameField(max_length=20)
    dam = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="litters")
    born_on = models.DateField()
    outcome = models.OneToOneField(Outcome, on_delete=models.PROTECT, related_name="litter")
    is_under_way = models.BooleanField(
        default=False, help_text=_("Its pups are being written down; more may follow.")
    )
    note = models.TextField(max_length=1000, blank=True)

    class Meta:
        ordering = ["-born_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["code"],
                condition=Q(withdrawn_at__isnull=True),
                name="litter_code_once",
                violation_error_message=_(
                    "Another litter bears this code by now; withdraw that one first."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell("litter {code}", code=self.code)

    def get_absolute_url(self) -> str:
        return reverse("litters:detail", args=[self.pk])

    @property
    def outcome_words(self) -> str:
        """How the birth went; where some were dead, how many of how many."""
        is_mixed = self.outcome.kind == Outcome.Kind.SOME_DEAD
        fates = [pup.alive for pup in self.pups.all()] if is_mixed else []
        if all(fates):
            return self.outcome.get_kind_display()
        return tell_many(
            "birth, {dead} of {number} pup dead",
            "birth, {dead} of {number} pups dead",
            len(fates),
            dead=fates.count(False),
        )


class Pup(Withdrawable):
    """One pup of a litter as it was born; a pup born alive is an animal as well.

    `Pup.objects` and `litter.pups` hold those that count; `Pup.every` the withdrawn too. A filter
    through another model's rows (`Litter.objects.filter(pups__...)`) leaves them out itself.
    """

    part_of = "animal"

    class Yolk(models.TextChoices):
        NOT_SAID = "", _("nobody looked")
        NONE = "none", _("no yolk sac left")
        SMALL = "small", _("a small yolk sac")
        LARGE = "large", _("a large yolk sac")

    litter = models.ForeignKey(Litter, on_delete=models.PROTECT, related_name="pups")
    number = models.PositiveSmallIntegerField()
    born_on = models.DateField(
        null=True, blank=True, help_text=_("Where it was born on a later day than the first.")
    )
    alive = models.BooleanField(default=True)
    sex = models.CharField(max_length=1, choices=Animal.Sex.choices, default=Animal.Sex.UNKNOWN)
    disc_width_mm = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(10), MaxValueValidator(500)]
    )
    weight_g = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(5000)]
    )
    yolk = models.CharField(max_length=5, choices=Yolk.choices, blank=True)
    markings = models.CharField(max_length=400, blank=True)
    animal = models.ForeignKey(
        Animal, on_delete=models.PROTECT, null=True, blank=True, related_name="pup_rows"
    )
    is_joined = models.BooleanField(
        default=False, help_text=_("The animal was on record before it was joined to this litter.")
    )

    objects = CountingRecords["Pup"]()
    every: models.Manager["Pup"] = models.Manager()

    class Meta:
        ordering = ["litter", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["litter", "number"],
                name="pup_number_once",
                violation_error_message=_(
                    "This litter has a pup with that number already; choose another number."
                ),
            ),
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(withdrawn_at__isnull=True),
                name="pup_animal_once",
                violation_error_message=_(
                    "This animal is a pup of a litter already; take it out of that one first."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell("pup {number} of {litter}", number=self.number, litter=self.litter)

    @property
    def day(self) -> datetime.date:
        """The day it was born: its own, or that of its litter."""
        return self.born_on or self.litter.born_on


class Verdict(Withdrawable):
    """What was decided of a young one: held back for breeding, let go, or culled, and why."""

    part_of = "animal"

    class Decision(models.TextChoices):
        HOLD_BACK = "hold", _("held back for breeding")
        LET_GO = "go", _("may go")
        CULL = "cull", _("culled")
        OPEN = "open", _("not decided yet")

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="verdicts")
    decision = models.CharField(max_length=4, choices=Decision.choices)
    on = models.DateField()
    reason = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["Verdict"]()
    every: models.Manager["Verdict"] = models.Manager()

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(decision="cull") | ~Q(reason=""),
                name="verdict_cull_with_reason",
                violation_error_message=_("Say why it is culled."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.get_decision_display()}"
