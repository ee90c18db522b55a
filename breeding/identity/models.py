"""Pictures of nobody yet, and what was read of the spots in a picture."""

from typing import TYPE_CHECKING, Any

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal, Photograph
from breeding.identity.arrays import spots_of
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.days import plain_day
from breeding.words.language import tell

if TYPE_CHECKING:
    from breeding.spots import Reading


class UntoldPicture(Withdrawable):
    """A picture of which nobody has said yet who it is; re-encoded and without metadata.

    became: the picture of an animal that it is since somebody said whose.
    """

    picture = models.FileField(upload_to="untold/%Y/")
    thumbnail = models.FileField(upload_to="untold/%Y/")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    taken_on = models.DateField()
    note = models.CharField(max_length=200, blank=True)
    became = models.OneToOneField(
        Photograph,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        editable=False,
        related_name="+",
    )

    objects = CountingRecords["UntoldPicture"]()
    every: models.Manager["UntoldPicture"] = models.Manager()

    class Meta:
        ordering = ["-taken_on", "-pk"]

    def __str__(self) -> str:
        return tell("the picture of {day} of nobody yet", day=plain_day(self.taken_on))

    def get_absolute_url(self) -> str:
        return reverse("identity:answer", args=[self.pk])


class PatternReading(models.Model):
    """The disc as it was marked on one picture, and the spots found in it.

    taps: four pairs of pixels x, y: snout tip, left edge, right edge, tail base. spots: triples x,
    y, radius in the disc's frame (`breeding/spots`). finder: which finder found them; is_corrected:
    a keeper added or took away some. is_used: whether it serves to tell who is who. like: another
    animal on record that it looked like when it was asked of everybody, at `compared_at`; it only
    finds what is asked on the day.
    """

    part_of = "photograph"

    photograph = models.OneToOneField(
        Photograph, on_delete=models.CASCADE, null=True, blank=True, related_name="pattern"
    )
    untold = models.OneToOneField(
        UntoldPicture, on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    taps = models.JSONField()
    spots = models.JSONField()
    finder = models.CharField(max_length=12)
    is_light = models.BooleanField()
    contrast = models.FloatField()
    grain = models.FloatField()
    is_corrected = models.BooleanField(default=False)
    is_used = models.BooleanField(default=True)
    like = models.ForeignKey(
        Animal, on_delete=models.SET_NULL, null=True, blank=True, editable=False, related_name="+"
    )
    compared_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(photograph__isnull=False, untold__isnull=True)
                | Q(photograph__isnull=True, untold__isnull=False),
                name="pattern_of_one_picture",
                violation_error_message=_(
                    "Spots are those of one picture: of an animal, or of nobody yet."
                ),
            )
        ]

    def __str__(self) -> str:
        return tell("the spots of {picture}", picture=self.subject)

    def get_absolute_url(self) -> str:
        return reverse("identity:spots", args=[self.pk])

    @property
    def subject(self) -> Any:
        """The picture: a `Photograph` of an animal or an `UntoldPicture`."""
        return self.photograph if self.photograph_id else self.untold

    def reading(self) -> "Reading":
        """As `breeding.spots` takes it."""
        from breeding.spots import Reading  # not loaded where no spots are read

        return Reading(spots_of(self.spots), self.is_light, self.contrast, self.grain, self.finder)


class SaidTwo(Withdrawable):
    """Two animals that look alike are two, as a keeper says who has looked: it is asked no more.

    one: of the two the one that was written down first.
    """

    one = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="+")
    other = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="+")
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["SaidTwo"]()
    every: models.Manager["SaidTwo"] = models.Manager()

    class Meta:
        verbose_name = _("two that look alike")
        verbose_name_plural = _("twos that look alike")
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["one", "other"],
                condition=Q(withdrawn_at__isnull=True),
                name="said_two_once",
                violation_error_message=_("That these are two animals is on record already."),
            ),
            models.CheckConstraint(
                condition=Q(one__lt=models.F("other")),
                name="said_two_in_order",
                violation_error_message=_("These are not two animals."),
            ),
        ]

    def __str__(self) -> str:
        return tell("{one} and {other} are two animals", one=self.one.name, other=self.other.name)

    def get_absolute_url(self) -> str:
        return reverse("identity:alike")


def of_picture(subject: Photograph | UntoldPicture) -> dict[str, Any]:
    """The field of a reading that names this picture."""
    return {"photograph" if isinstance(subject, Photograph) else "untold": subject}
