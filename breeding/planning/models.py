"""Pairings that are meant to be: planned, and waiting for their day."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q

from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.program.models import Withdrawable


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

    class Meta:
        ordering = ["not_before", "pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(female=F("male")), name="planned_pairing_of_two"),
            models.UniqueConstraint(
                fields=["female", "male", "not_before"],
                condition=Q(withdrawn_at__isnull=True),
                name="planned_pairing_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.female} and {self.male}"

    def clean(self) -> None:
        if self.female.sex != Animal.Sex.FEMALE:
            raise ValidationError({"female": f"{self.female.name} is not recorded as a female."})
        if self.male.sex != Animal.Sex.MALE:
            raise ValidationError({"male": f"{self.male.name} is not recorded as a male."})
