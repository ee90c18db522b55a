"""Kinship that nobody saw and a keeper assumes: of two that came from one seller, say."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.language import tell


class AssumedKin(Withdrawable):
    """What a keeper holds two founders to be to each other; "unknown" is an answer too.

    certainty: how sure of it, from 0 to 1; nothing for "unknown". The two stand in the order of
    their keys, so that a pair is there once.
    """

    class Degree(models.TextChoices):
        FULL = "full", _("full siblings")
        HALF = "half", _("half siblings")
        NONE = "none", _("not related")
        UNKNOWN = "unknown", _("not known")

    one = models.ForeignKey("animals.Animal", on_delete=models.PROTECT, related_name="+")
    other = models.ForeignKey("animals.Animal", on_delete=models.PROTECT, related_name="+")
    degree = models.CharField(max_length=7, choices=Degree.choices)
    certainty = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0.0), MaxValueValidator(1.0)]
    )
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["AssumedKin"]()
    every: models.Manager["AssumedKin"] = models.Manager()

    class Meta:
        ordering = ["-pk"]
        verbose_name_plural = _("assumed kin")
        constraints = [
            models.CheckConstraint(
                condition=Q(one__lt=F("other")),
                name="assumedkin_in_order",
                violation_error_message=_("Choose two different animals."),
            ),
            models.CheckConstraint(
                condition=Q(degree="unknown", certainty__isnull=True)
                | ~Q(degree="unknown") & Q(certainty__gt=0, certainty__lte=1),
                name="assumedkin_with_certainty",
                violation_error_message=_(
                    "Say how sure it is, above 0 and at most 1; nothing where it is not known."
                ),
            ),
            models.UniqueConstraint(
                fields=["one", "other"],
                condition=Q(withdrawn_at__isnull=True),
                name="assumedkin_once",
                violation_error_message=_(
                    "What these two are to each other is assumed already; change that."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell(
            "{one} and {other}: {degree}",
            one=self.one,
            other=self.other,
            degree=self.get_degree_display(),
        )
