"""A table on its way in: kept until it is written or given up."""

from django.db import models
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.program.models import Recorded


class ImportDraft(Recorded):
    """An uploaded table of animals with the meaning given to its columns so far."""

    class Delimiter(models.TextChoices):
        COMMA = ",", "commas"
        SEMICOLON = ";", "semicolons"
        TAB = "\t", "tabs"

    class DateOrder(models.TextChoices):
        FOUND = "", "as the table itself tells"
        DAY_FIRST = "day_first", "day first: 3.5.2024 is 3 May"
        MONTH_FIRST = "month_first", "month first: 5/3/2024 is 3 May"

    file_name = models.CharField(max_length=120)
    text = models.TextField()
    delimiter = models.CharField(max_length=1, choices=Delimiter.choices)
    columns = models.JSONField(default=dict, help_text="Meaning to column position, from 0.")
    put_before_codes = models.CharField(max_length=12, blank=True)
    date_order = models.CharField(max_length=11, choices=DateOrder.choices, blank=True)
    usual_state = models.CharField(
        max_length=7,
        choices=Animal.State.choices,
        default=Animal.State.HERE,
        help_text="Of the animals whose row says nothing of it.",
    )
    measured_on = models.DateField(
        null=True, help_text="Of the sizes whose row says nothing of the day."
    )
    written_at = models.DateTimeField(null=True)
    written_with = models.CharField(
        max_length=60, blank=True, help_text="The key of the act, which undoes it as a whole."
    )
    animals = models.ManyToManyField(
        Animal, related_name="+", help_text="What was written down from this table."
    )

    class Meta:
        ordering = ["-recorded_at"]

    def __str__(self) -> str:
        return self.file_name

    def get_absolute_url(self) -> str:
        return reverse("records:write" if self.is_written else "records:columns", args=[self.pk])

    @property
    def is_written(self) -> bool:
        return self.written_at is not None
