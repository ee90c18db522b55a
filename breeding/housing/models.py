"""Tanks and their water, and which animal stayed in which tank from when to when."""

import datetime

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.animals.away.gone import GONE
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
from breeding.words.language import message, tell
from breeding.words.numbers import written

FARTHEST_MM = 200_000  # of a tank from the corner of its room
BOTH_DISTANCES = message(
    "Where a tank stands is two distances, from the left and from the back; give both or neither."
)


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
        verbose_name = _("shared water")
        verbose_name_plural = _("shared waters")
        constraints = [
            models.UniqueConstraint(
                fields=["name"],
                condition=Q(withdrawn_at__isnull=True),
                name="watersystem_name_once",
                violation_error_message=_(
                    "Another shared water is called so; choose another name."
                ),
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
        BREEDING = "breeding", pgettext_lazy("what a tank is for", "breeding")
        GROWING = "growing", pgettext_lazy("what a tank is for", "growing on")
        NURSERY = "nursery", pgettext_lazy("what a tank is for", "nursery")
        QUARANTINE = "quarantine", pgettext_lazy("what a tank is for", "quarantine")
        OTHER = "other", pgettext_lazy("what a tank is for", "other")

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
        verbose_name=_("shared water system"),
        help_text=_("Tanks that share their water, as through one sump. Animals are not shared."),
    )
    can_divide = models.BooleanField(default=False, verbose_name=_("a divider can be closed in it"))
    note = models.CharField(max_length=200, blank=True)
    # Where it stands, seen from above: its corner from the upper left corner of its room.
    stands_in = NameField(
        max_length=60,
        blank=True,
        default="",
        verbose_name=_("room it stands in"),
        help_text=_("Only where there are several rooms."),
    )
    from_left_mm = models.PositiveIntegerField(
        null=True,
        blank=True,
        validators=[MaxValueValidator(FARTHEST_MM)],
    )
    from_back_mm = models.PositiveIntegerField(
        null=True,
        blank=True,
        validators=[MaxValueValidator(FARTHEST_MM)],
    )
    is_turned = models.BooleanField(
        default=False, verbose_name=_("stands turned: its length goes from back to front")
    )

    objects = StandingTanks()
    every: models.Manager["Tank"] = models.Manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"],
                condition=Q(withdrawn_at__isnull=True),
                name="tank_name_once",
                violation_error_message=_("Another tank in use is called so; choose another name."),
            ),
            models.CheckConstraint(
                condition=Q(from_left_mm__isnull=True, from_back_mm__isnull=True)
                | Q(from_left_mm__isnull=False, from_back_mm__isnull=False),
                name="tank_stands_by_two_distances",
                violation_error_message=_(BOTH_DISTANCES),
            ),
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
                    "volume_litres": tell(
                        "{volume} litres do not go into this tank: its sides hold {brim} litres to "
                        "the brim.",
                        volume=written(f"{self.volume_litres:,}"),
                        brim=written(f"{brim:,.0f}"),
                    )
                }
            )
        if (self.from_left_mm is None) != (self.from_back_mm is None):
            missing = "from_left_mm" if self.from_left_mm is None else "from_back_mm"
            raise ValidationError({missing: tell(BOTH_DISTANCES)})


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
    told_when_changed = ("animal", "tank", "side", "since", "until", "withdrawn_at")

    class Side(models.TextChoices):
        WHOLE = "", _("whole tank")
        LEFT = "left", _("left side")
        RIGHT = "right", _("right side")

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="stays")
    tank = models.ForeignKey(Tank, on_delete=models.PROTECT, related_name="stays")
    side = models.CharField(
        max_length=5,
        blank=True,
        default="",
        choices=Side.choices,
        help_text=_("The side of a closed divider; nothing: the whole tank."),
    )
    since = models.DateField()
    until = models.DateField(null=True, blank=True)
    reason = models.CharField(
        max_length=400,
        blank=True,
        default="",
        help_text=_("Why it came to those in it in spite of their kinship."),
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
                violation_error_message=_("This animal is in a tank already; end that stay first."),
            ),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")),
                name="stay_ends_after_it_begins",
                violation_error_message=_("A stay ends on the day it begins, or later."),
            ),
            models.CheckConstraint(
                condition=Q(side__in=["", "left", "right"]),
                name="stay_side_of_two",
                violation_error_message=_(
                    "A side is left or right; leave it empty for the whole tank."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell(
            "{animal} in {tank} since {day}",
            animal=self.animal,
            tank=self.tank,
            day=long_day(self.since),
        )

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

    grows_daily = True
    told_when_changed = ("tank", "on")

    tank = models.ForeignKey(Tank, on_delete=models.PROTECT, related_name="looks")
    on = models.DateField(db_index=True)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["tank", "on"],
                condition=Q(withdrawn_at__isnull=True),
                name="look_once_a_day",
                violation_error_message=_(
                    "That all in this tank were looked at is on record for this day already."
                ),
            )
        ]

    def __str__(self) -> str:
        return tell("{tank}, looked at on {day}", tank=self.tank, day=long_day(self.on))
