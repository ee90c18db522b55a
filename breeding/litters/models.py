"""Litters and their pups; parents belong to the animal, the litter records the event."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.pairings.models import Outcome
from breeding.program.models import Withdrawable


class Litter(Withdrawable):
    """One birth."""

    code = models.CharField(max_length=20, unique=True)
    dam = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="litters")
    born_on = models.DateField()
    outcome = models.OneToOneField(Outcome, on_delete=models.PROTECT, related_name="litter")
    note = models.TextField(max_length=1000, blank=True)

    class Meta:
        ordering = ["-born_on", "-pk"]

    def __str__(self) -> str:
        return f"litter {self.code}"

    def get_absolute_url(self) -> str:
        return reverse("litters:detail", args=[self.pk])


class Pup(models.Model):
    """One pup of a litter as it was born; a pup born alive is an animal as well."""

    part_of = "animal"

    litter = models.ForeignKey(Litter, on_delete=models.PROTECT, related_name="pups")
    number = models.PositiveSmallIntegerField()
    alive = models.BooleanField(default=True)
    sex = models.CharField(max_length=1, choices=Animal.Sex.choices, default=Animal.Sex.UNKNOWN)
    disc_width_mm = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(10), MaxValueValidator(500)]
    )
    markings = models.CharField(max_length=400, blank=True)
    animal = models.OneToOneField(
        Animal, on_delete=models.PROTECT, null=True, blank=True, related_name="pup"
    )

    class Meta:
        ordering = ["litter", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["litter", "number"],
                name="pup_number_once",
                violation_error_message="This litter has a pup with that number already; choose "
                "another number.",
            ),
        ]

    def __str__(self) -> str:
        return f"pup {self.number} of {self.litter}"
