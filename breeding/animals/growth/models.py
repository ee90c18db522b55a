"""What an animal measured and weighed on a day, as it is kept."""

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.days import long_day
from breeding.words.language import tell


class Measurement(Withdrawable):
    """Size and condition of an animal on one day, or on a day that nobody wrote down.

    Those withdrawn are in `every`.
    """

    part_of = "animal"
    grows_daily = True
    told_when_changed = ("animal", "on")

    animal = models.ForeignKey(
        "animals.Animal", on_delete=models.PROTECT, related_name="measurements"
    )
    on = models.DateField(null=True, blank=True, help_text=_("Empty: the day is not known."))
    disc_width_mm = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(10), MaxValueValidator(3000)]
    )
    weight_g = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(300000)]
    )
    back_height_mm = models.PositiveIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(5), MaxValueValidator(1000)],
        help_text=_("How high the back stands, from a photograph of the side beside a scale."),
    )
    girth_mm = models.PositiveIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(10), MaxValueValidator(6000)],
        help_text=_(
            "Once around the body just behind the eyes, over the back and under the belly."
        ),
    )
    condition = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(5)]
    )
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["Measurement"]()
    every: models.Manager["Measurement"] = models.Manager()

    class Meta:
        # Those of an unknown day come last, whatever the database makes of them.
        ordering = [F("on").desc(nulls_last=True), "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(disc_width_mm__isnull=False)
                | Q(weight_g__isnull=False)
                | Q(back_height_mm__isnull=False)
                | Q(girth_mm__isnull=False)
                | Q(condition__isnull=False),
                name="measurement_of_something",
                violation_error_message=_("Enter a size, a weight, a back height or a condition."),
            )
        ]

    def __str__(self) -> str:
        if self.on is None:
            return tell("{animal} on a day unknown", animal=self.animal)
        return tell("{animal} on {day}", animal=self.animal, day=long_day(self.on))

    def clean(self) -> None:
        sizes = (self.disc_width_mm, self.weight_g, self.back_height_mm, self.girth_mm)
        if all(figure is None for figure in (*sizes, self.condition)):
            raise ValidationError(tell("Enter a size, a weight, a back height or a condition."))
