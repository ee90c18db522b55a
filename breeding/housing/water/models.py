"""Water: tests and what counts as fit, changes, source water, care, and how often what is due."""

from decimal import Decimal
from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from breeding.program.fields import NameField
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many

if TYPE_CHECKING:
    from django.utils.functional import _StrOrPromise as StrOrPromise


def conductivity_field() -> "models.DecimalField[Decimal | None, Decimal | None]":
    return models.DecimalField(
        _("conductivity"),
        max_digits=7,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(60000)],
    )


def hardness_field() -> "models.DecimalField[Decimal | None, Decimal | None]":
    return models.DecimalField(
        _("carbonate hardness"),
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(50)],
    )


def _milligrams(label: "StrOrPromise") -> "models.DecimalField[Decimal | None, Decimal | None]":
    return models.DecimalField(
        verbose_name=label,
        max_digits=7,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )


class WaterTest(Withdrawable):
    """What a test of a tank's water read: values as typed, in mg/L, each with its unit.

    Nothing is unknown; 0 is "not detectable". A kit reads the nitrogen (N) or the whole ion:
    `water.py` turns one into the other.
    """

    grows_daily = True

    class ReadAs(models.TextChoices):
        NITROGEN = "N", _("as nitrogen (N)")
        ION = "ion", _("as the ion")

    VALUES = (
        *("temperature_c", "ph", "ammonia_mg_l", "nitrite_mg_l", "nitrate_mg_l"),
        *("conductivity_us_cm", "kh_dh"),
    )

    tank = models.ForeignKey("housing.Tank", on_delete=models.PROTECT, related_name="water_tests")
    tested_at = models.DateTimeField()
    temperature_c = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(45)],
    )
    ph = models.DecimalField(
        "pH",
        max_digits=4,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(14)],
    )
    ammonia_mg_l = _milligrams(_("total ammonia"))
    ammonia_as = models.CharField(max_length=3, choices=ReadAs.choices, default=ReadAs.ION)
    nitrite_mg_l = _milligrams(_("nitrite"))
    nitrite_as = models.CharField(max_length=3, choices=ReadAs.choices, default=ReadAs.ION)
    nitrate_mg_l = _milligrams(_("nitrate"))
    nitrate_as = models.CharField(max_length=3, choices=ReadAs.choices, default=ReadAs.ION)
    conductivity_us_cm = conductivity_field()
    kh_dh = hardness_field()
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-tested_at", "-pk"]
        indexes = [
            models.Index(fields=["tank", "-tested_at", "-id"], name="watertest_of_tank"),
            models.Index(fields=["-tested_at", "-id"], name="watertest_latest_first"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(temperature_c__isnull=False)
                | Q(ph__isnull=False)
                | Q(ammonia_mg_l__isnull=False)
                | Q(nitrite_mg_l__isnull=False)
                | Q(nitrate_mg_l__isnull=False)
                | Q(conductivity_us_cm__isnull=False)
                | Q(kh_dh__isnull=False),
                name="water_test_reads_something",
                violation_error_message=_(
                    "Write down at least one reading; 0 is “not detectable”."
                ),
            ),
            models.CheckConstraint(
                condition=Q(
                    ammonia_as__in=["N", "ion"],
                    nitrite_as__in=["N", "ion"],
                    nitrate_as__in=["N", "ion"],
                ),
                name="water_test_known_units",
                violation_error_message=_(
                    "Ammonia, nitrite and nitrate are read as N or as the ion."
                ),
            ),
        ]

    def __str__(self) -> str:
        on = timezone.localdate(self.tested_at)
        return tell("{tank}, water tested on {day}", tank=self.tank, day=on)

    def clean(self) -> None:
        if all(getattr(self, name) is None for name in self.VALUES):
            raise ValidationError(tell("Write down at least one reading; 0 is “not detectable”."))

    def get_absolute_url(self) -> str:
        return reverse("housing:water", args=[self.pk])


class WaterRange(models.Model):
    """What this program calls fit water, where its keepers chose otherwise than the defaults.

    The defaults with their sources are in fixtures/water.json; a quantity without a row has those.
    Temperature in °C; ammonia, nitrite and nitrate in mg/L of the ion (NH4, NO2, NO3); conductivity
    in µS/cm and carbonate hardness in German degrees, for which there is no default.
    """

    class What(models.TextChoices):
        TEMPERATURE = "temperature", _("temperature")
        PH = "ph", _("pH")
        AMMONIA = "ammonia", _("total ammonia")
        NITRITE = "nitrite", _("nitrite")
        NITRATE = "nitrate", _("nitrate")
        CONDUCTIVITY = "conductivity", _("conductivity")
        KH = "kh", _("carbonate hardness")

    what = models.CharField(max_length=12, choices=What.choices, unique=True)
    least = models.FloatField(null=True, blank=True)
    most = models.FloatField(null=True, blank=True)
    source = models.CharField(max_length=200, blank=True, help_text=_("What it rests on."))

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(least__isnull=True) | Q(most__isnull=True) | Q(most__gte=F("least")),
                name="water_range_upwards",
                violation_error_message=_(
                    "The most that is allowed cannot be less than the least."
                ),
            ),
        ]

    def __str__(self) -> str:
        return str(self.get_what_display())


class WaterSource(Withdrawable):
    """Water that tanks are filled with, and what it was found to be.

    Conductivity in microsiemens per centimetre at 25 °C, carbonate hardness in German degrees;
    temperature as it goes in.
    """

    class ComesFrom(models.TextChoices):
        TAP = "tap", _("the tap")
        OSMOSIS = "osmosis", _("reverse osmosis")
        RAIN = "rain", _("rain")
        WELL = "well", _("a well or a stream")
        MIXED = "mixed", _("a mix")
        OTHER = "other", _("elsewhere")

    name = NameField(max_length=60)
    comes_from = models.CharField(
        max_length=7, choices=ComesFrom.choices, default=ComesFrom.TAP, verbose_name=_("comes from")
    )
    is_dechlorinated = models.BooleanField(
        default=False, verbose_name=_("chlorine is taken out of it before it is used")
    )
    prepared = models.CharField(max_length=200, blank=True, verbose_name=_("how it is prepared"))
    tested_on = models.DateField(null=True, blank=True)
    ph = models.DecimalField(
        "pH",
        max_digits=4,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(14)],
    )
    temperature_c = models.DecimalField(
        _("temperature as it goes in"),
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(45)],
    )
    conductivity_us_cm = conductivity_field()
    kh_dh = hardness_field()
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["WaterSource"]()
    every: models.Manager["WaterSource"] = models.Manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"],
                condition=Q(withdrawn_at__isnull=True),
                name="watersource_name_once",
                violation_error_message=_(
                    "Another source water is called so; choose another name."
                ),
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return f"{reverse('housing:sources')}#source-{self.pk}"


class WaterChange(Withdrawable):
    """Water of a tank that was changed: so many litres, or so many of a hundred parts."""

    tank = models.ForeignKey(
        "housing.Tank",
        on_delete=models.PROTECT,
        related_name="water_changes",
    )
    changed_at = models.DateTimeField(db_index=True)
    litres = models.PositiveIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    percent = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(100)],
    )
    source = models.ForeignKey(
        WaterSource,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="changes",
    )
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["WaterChange"]()
    every: models.Manager["WaterChange"] = models.Manager()

    class Meta:
        ordering = ["-changed_at", "-pk"]
        indexes = [models.Index(fields=["tank", "-changed_at"], name="waterchange_of_tank")]
        constraints = [
            models.CheckConstraint(
                condition=Q(litres__isnull=True) | Q(percent__isnull=True),
                name="waterchange_litres_or_percent",
                violation_error_message=_("Say litres or percent of the tank, not both."),
            )
        ]

    def __str__(self) -> str:
        on = timezone.localdate(self.changed_at)
        return tell("{tank}, water changed on {day}", tank=self.tank, day=on)

    def clean(self) -> None:
        if self.litres is not None and self.percent is not None:
            raise ValidationError(tell("Say litres or percent of the tank, not both."))

    def get_absolute_url(self) -> str:
        return str(self.tank.get_absolute_url())


class TankWork(Withdrawable):
    """Care of a tank beside its water: its filter, its heater, its ground."""

    class Kind(models.TextChoices):
        FILTER = "filter", _("filter rinsed")
        MEDIA = "media", _("filter media renewed")
        PUMP = "pump", _("pump or heater seen to")
        GROUND = "ground", _("ground cleaned")
        OTHER = "other", _("something else")

    tank = models.ForeignKey("housing.Tank", on_delete=models.PROTECT, related_name="works")
    kind = models.CharField(max_length=6, choices=Kind.choices)
    on = models.DateField(db_index=True)
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["TankWork"]()
    every: models.Manager["TankWork"] = models.Manager()

    class Meta:
        ordering = ["-on", "-pk"]
        indexes = [models.Index(fields=["tank", "-on"], name="tankwork_of_tank")]

    def __str__(self) -> str:
        return tell(
            "{tank}, {what} on {day}",
            tank=self.tank,
            what=self.get_kind_display(),
            day=long_day(self.on),
        )

    def get_absolute_url(self) -> str:
        return str(self.tank.get_absolute_url())


class TankRhythm(models.Model):
    """How often something is due in one tank, where its keeper chose so."""

    class What(models.TextChoices):
        TEST = "test", _("water test")
        CHANGE = "change", _("water change")
        FILTER = "filter", _("filter care")

    tank = models.ForeignKey("housing.Tank", on_delete=models.CASCADE, related_name="rhythms")
    what = models.CharField(max_length=6, choices=What.choices)
    every_days = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(365)]
    )

    class Meta:
        ordering = ["tank", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["tank", "what"],
                name="tankrhythm_once",
                violation_error_message=_("This tank has a rhythm for that already; change it."),
            )
        ]

    def __str__(self) -> str:
        return tell_many(
            "{tank}: {what} every {number} days",
            "{tank}: {what} every {number} days",
            self.every_days,
            tank=self.tank,
            what=self.get_what_display(),
        )
