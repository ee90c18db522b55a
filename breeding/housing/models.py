"""Tanks and their water, and which animal stayed in which tank from when to when."""

import datetime

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.housing.sizes import holds_litres
from breeding.housing.water.models import TankRhythm as TankRhythm  # models of this room, in a file
from breeding.housing.water.models import TankWork as TankWork
from breeding.housing.water.models import WaterChange as WaterChange
from breeding.housing.water.models import WaterRange as WaterRange
from breeding.housing.water.models import WaterSource as WaterSource
from breeding.housing.water.models import WaterTest as WaterTest
from breeding.program.fields import NameField
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.days import long_day

GONE = (Animal.State.LEFT, Animal.State.DIED)


class WaterSystem(Withdrawable):
    """Water that several tanks share, as through one sump: the water is shared, animals are not.

    Those withdrawn are in `every`.
    """

    name = NameField(max_length=60)
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["WaterSystem"]()
    every: models.Manager["WaterSystem"] = models.Manager()

    class Meta:
        ordering = ["name"]
        verbose_name = "shared water"
        verbose_name_plural = "shared waters"
        constraints = [
            models.UniqueConstraint(
                fields=["name"],
                condition=Q(withdrawn_at__isnull=True),
                name="watersystem_name_once",
                violation_error_message="Another shared water is called so; choose another name.",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return f"{reverse('housing:systems')}#system-{self.pk}"


class StandingTanks(models.Manager["Tank"]):
    """Tanks in use; one that was given up stays readable through `Tank.every`."""

    def get_queryset(self) -> models.QuerySet["Tank"]:
        return super().get_queryset().filter(withdrawn_at__isnull=True)


class Tank(Withdrawable):
    """A tank an animal can be in; two sides of a closed divider are one tank with two sides.

    `Tank.objects` holds those in use, to be offered; `Tank.every` those given up too. Who was in a
    tank that was given up stays on record, and counts.
    """

    class Kind(models.TextChoices):
        BREEDING = "breeding", "breeding"
        GROWING = "growing", "growing on"
        NURSERY = "nursery", "nursery"
        QUARANTINE = "quarantine", "quarantine"
        OTHER = "other", "other"

    name = NameField(max_length=60)
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
    system = models.ForeignKey(
        WaterSystem,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="tanks",
        verbose_name="shared water system",
        help_text="Tanks that share their water, as through one sump. Animals are not shared.",
    )
    can_divide = models.BooleanField(default=False, verbose_name="a divider can be closed in it")
    note = models.CharField(max_length=200, blank=True)

    objects = StandingTanks()
    every: models.Manager["Tank"] = models.Manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"],
                condition=Q(withdrawn_at__isnull=True),
                name="tank_name_once",
                violation_error_message="Another tank in use is called so; choose another name.",
            )
        ]

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


class StandingStays(models.Manager["Stay"]):
    """Stays that count; a withdrawn one stays readable through `Stay.every`."""

    def get_queryset(self) -> models.QuerySet["Stay"]:
        return super().get_queryset().filter(withdrawn_at__isnull=True)


class Stay(Withdrawable):
    """An animal in a tank, from a day until a day (open while it is still there).

    The day of a move belongs to both tanks. `Stay.objects`, `animal.stays` and `tank.stays` hold
    the stays that count; `Stay.every` those withdrawn too. A filter through another model's rows
    (`Animal.objects.filter(stays__...)`) must leave out the withdrawn ones itself.
    """

    part_of = "animal"

    class Side(models.TextChoices):
        WHOLE = "", "whole tank"
        LEFT = "left", "left side"
        RIGHT = "right", "right side"

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="stays")
    tank = models.ForeignKey(Tank, on_delete=models.PROTECT, related_name="stays")
    side = models.CharField(
        max_length=5,
        blank=True,
        default="",
        choices=Side.choices,
        help_text="The side of a closed divider; nothing: the whole tank.",
    )
    since = models.DateField()
    until = models.DateField(null=True, blank=True)
    reason = models.CharField(
        max_length=400,
        blank=True,
        default="",
        help_text="Why it came to those in it in spite of their kinship.",
    )

    follows: tuple[str, ...] = ()  # what was said of its company when it was written; not kept

    objects = StandingStays()
    every: models.Manager["Stay"] = models.Manager()

    class Meta:
        ordering = ["-since", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(until__isnull=True, withdrawn_at__isnull=True),
                name="stay_one_open",
                violation_error_message="This animal is in a tank already; end that stay first.",
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")),
                name="stay_ends_after_it_begins",
                violation_error_message="A stay ends on the day it begins, or later.",
            ),
            models.CheckConstraint(
                condition=Q(side__in=["", "left", "right"]),
                name="stay_side_of_two",
                violation_error_message="A side is left or right; leave it empty for the whole "
                "tank.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal} in {self.tank} since {long_day(self.since)}"

    @property
    def place(self) -> str:
        """The tank, with the side when its divider is closed."""
        return f"{self.tank}, {self.get_side_display()}" if self.side else str(self.tank)

    @property
    def ended_on(self) -> datetime.date | None:
        """The day it ended: moved out, or the animal left or died and nobody moved it out."""
        return self.until or (self.animal.state_on if self.animal.state in GONE else None)

    @property
    def is_present(self) -> bool:
        return self.until is None and self.animal.state not in GONE


class Look(Withdrawable):
    """Somebody looked at all in a tank on a day, and there was nothing to see."""

    tank = models.ForeignKey(Tank, on_delete=models.PROTECT, related_name="looks")
    on = models.DateField(db_index=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["tank", "on"],
                condition=Q(withdrawn_at__isnull=True),
                name="look_once_a_day",
                violation_error_message="That all in this tank were looked at is on record for "
                "this day already.",
            )
        ]

    def __str__(self) -> str:
        return f"{self.tank}, looked at on {long_day(self.on)}"
