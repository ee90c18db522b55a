"""Pairings that are planned and wait for their day, and looks ahead at the next years."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.program.models import Recorded, Withdrawable


class PlannedPairing(Withdrawable):
    """A female and a male that are to be put together from a day on; a pairing fulfils it."""

    female = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="planned_as_female")
    male = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="planned_as_male")
    not_before = models.DateField(help_text="From this day on they can be put together.")
    tank = models.ForeignKey(Tank, on_delete=models.PROTECT, null=True, blank=True)
    inbreeding_expected = models.FloatField(
        default=0.0, help_text="Expected F of the young when this was planned."
    )
    note = models.CharField(max_length=400, blank=True)
    reason = models.CharField(
        max_length=400,
        blank=True,
        default="",
        help_text="Why these two though one is not fit to breed.",
    )

    class Meta:
        ordering = ["not_before", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(female=F("male")),
                name="planned_pairing_of_two",
                violation_error_message="A pairing takes two; choose a male other than the female.",
            ),
            models.UniqueConstraint(
                fields=["female", "male", "not_before"],
                condition=Q(withdrawn_at__isnull=True),
                name="planned_pairing_once",
                violation_error_message="These two are planned from this day on already; choose "
                "another day.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.female} and {self.male}"

    def clean(self) -> None:
        if self.female.sex != Animal.Sex.FEMALE:
            raise ValidationError({"female": f"{self.female.name} is not recorded as a female."})
        if self.male.sex != Animal.Sex.MALE:
            raise ValidationError({"male": f"{self.male.name} is not recorded as a male."})


class LookAhead(Recorded):
    """A simulation of the next years: what was asked, how far it is, and what came out."""

    class State(models.TextChoices):
        RUNNING = "running", "running"
        DONE = "done", "done"
        STOPPED = "stopped", "stopped"
        FAILED = "failed", "failed"

    seed = models.PositiveIntegerField()
    assumptions = models.JSONField(help_text="Every figure as it was taken, with where it is from.")
    state = models.CharField(max_length=8, choices=State.choices, default=State.RUNNING)
    done = models.PositiveIntegerField(default=0)
    in_all = models.PositiveIntegerField(default=0)
    begun = models.PositiveSmallIntegerField(
        default=1, help_text="How often it was begun: again when its process had ended."
    )
    stop_wished = models.BooleanField(default=False)
    heard_of_at = models.DateTimeField(help_text="When the simulation last gave a sign of life.")
    first_year = models.PositiveSmallIntegerField()
    result = models.JSONField(default=dict)
    trouble = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"look ahead {self.pk} from {self.first_year}"

    def get_absolute_url(self) -> str:
        return reverse("planning:outlook", args=[self.pk])
