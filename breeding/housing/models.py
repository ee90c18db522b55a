"""Tanks, and which animal stayed in which tank from when to when."""

import datetime

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.housing.sizes import holds_litres
from breeding.program.models import Recorded

GONE = (Animal.State.LEFT, Animal.State.DIED)


class Tank(models.Model):
    """One body of water an animal can be in; two sides of a closed divider are one tank here."""

    class Kind(models.TextChoices):
        BREEDING = "breeding", "breeding"
        GROWING = "growing", "growing on"
        NURSERY = "nursery", "nursery"
        QUARANTINE = "quarantine", "quarantine"
        OTHER = "other", "other"

    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.BREEDING)
    length_mm = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1)]
    )
    width_mm = models.PositiveIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    height_mm = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1)]
    )
    volume_litres = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1)]
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("housing:detail", args=[self.pk])

    def clean(self) -> None:
        brim = holds_litres(self.length_mm, self.width_mm, self.height_mm)
        if self.volume_litres is not None and brim is not None and self.volume_litres > brim + 1:
            raise ValidationError(
                {
                    "volume_litres": f"{self.volume_litres:,} litres do not go into this tank: its "
                    f"sides hold {brim:,.0f} litres to the brim."
                }
            )


class Stay(Recorded):
    """An animal in a tank, from a day until a day (open while it is still there)."""

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="stays")
    tank = models.ForeignKey(Tank, on_delete=models.PROTECT, related_name="stays")
    since = models.DateField()
    until = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["-since", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"], condition=Q(until__isnull=True), name="stay_one_open"
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")),
                name="stay_ends_after_it_begins",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal} in {self.tank} since {self.since}"

    @property
    def ended_on(self) -> datetime.date | None:
        """The day it ended: moved out, or the animal left or died and nobody moved it out."""
        return self.until or (self.animal.state_on if self.animal.state in GONE else None)

    @property
    def is_present(self) -> bool:
        return self.until is None and self.animal.state not in GONE
