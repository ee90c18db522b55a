"""A picture of an animal, as it is kept."""

from django.db import models

from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.language import tell


class Photograph(Withdrawable):
    """A picture of an animal, re-encoded and without metadata; those withdrawn are in `every`."""

    part_of = "animal"

    animal = models.ForeignKey(
        "animals.Animal", on_delete=models.PROTECT, related_name="photographs"
    )
    picture = models.FileField(upload_to="photographs/%Y/")
    thumbnail = models.FileField(upload_to="photographs/%Y/")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    taken_on = models.DateField(null=True, blank=True)
    is_drawing = models.BooleanField(default=False)
    caption = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["Photograph"]()
    every: models.Manager["Photograph"] = models.Manager()

    class Meta:
        ordering = ["-taken_on", "-pk"]

    def __str__(self) -> str:
        if self.is_drawing:
            return tell("drawing of {animal}", animal=self.animal)
        return tell("photograph of {animal}", animal=self.animal)
