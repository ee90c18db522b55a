"""Pairings that are planned and wait for their day, and looks ahead at the next years."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.program.models import Recorded, Withdrawable
from breeding.words.language import message, tell
from breeding.words.numbers import joined

STOPPED_BEFORE = message("The server was stopped before this was done.")
STOPPED_OFTEN = message("The server was stopped before it was done, {number} times.")


class PlannedPairing(Withdrawable):
    """A female and a male that are to be put together from a day on; a pairing fulfils it."""

    female = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="planned_as_female")
    male = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="planned_as_male")
    not_before = models.DateField(help_text=_("From this day on they can be put together."))
    tank = models.ForeignKey(Tank, on_delete=models.PROTECT, null=True, blank=True)
    inbreeding_expected = models.FloatField(
        default=0.0, help_text=_("Expected F of the young when this was planned.")
    )
    note = models.CharField(max_length=400, blank=True)
    reason = models.CharField(
        max_length=400,
        blank=True,
        default="",
        help_text=_("Why these two though one is not fit to breed."),
    )

    class Meta:
        ordering = ["not_before", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(female=F("male")),
                name="planned_pairing_of_two",
                violation_error_message=_(
                    "A pairing takes two; choose a male other than the female."
                ),
            ),
            models.UniqueConstraint(
                fields=["female", "male", "not_before"],
                condition=Q(withdrawn_at__isnull=True),
                name="planned_pairing_once",
                violation_error_message=_(
                    "These two are already planned from this day on; choose another day."
                ),
            ),
        ]

    def __str__(self) -> str:
        return joined([str(self.female), str(self.male)])

    def clean(self) -> None:
        if self.female.sex != Animal.Sex.FEMALE:
            raise ValidationError(
                {"female": tell("{female} is not recorded as a female.", female=self.female.name)}
            )
        if self.male.sex != Animal.Sex.MALE:
            raise ValidationError(
                {"male": tell("{male} is not recorded as a male.", male=self.male.name)}
            )


class LookAhead(Recorded):
    """A simulation of the next years: what was asked, how far it is, and what came out."""

    class State(models.TextChoices):
        RUNNING = "running", _("running")
        DONE = "done", _("done")
        STOPPED = "stopped", _("stopped")
        FAILED = "failed", _("failed")

    seed = models.PositiveIntegerField()
    assumptions = models.JSONField(
        help_text=_("Every figure as it was taken, with where it is from.")
    )
    state = models.CharField(max_length=8, choices=State.choices, default=State.RUNNING)
    done = models.PositiveIntegerField(default=0)
    in_all = models.PositiveIntegerField(default=0)
    begun = models.PositiveSmallIntegerField(
        default=1, help_text=_("How often it was begun: again when its process had ended.")
    )
    stop_wished = models.BooleanField(default=False)
    heard_of_at = models.DateTimeField(help_text=_("When the simulation last gave a sign of life."))
    first_year = models.PositiveSmallIntegerField()
    result = models.JSONField(default=dict)
    trouble = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return tell("look ahead {number} from {year}", number=self.pk, year=self.first_year)

    @property
    def trouble_words(self) -> str:
        """Why it did not come to its end; it is kept as it is written."""
        if self.trouble == STOPPED_OFTEN.format(number=self.begun):
            return tell(STOPPED_OFTEN, number=self.begun)
        return tell(self.trouble) if self.trouble else ""

    def get_absolute_url(self) -> str:
        return reverse("planning:outlook", args=[self.pk])
