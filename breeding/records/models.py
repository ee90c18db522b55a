"""A table on its way in: kept until it is written or given up."""

from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.program.models import Recorded


class ImportDraft(Recorded):
    """An uploaded table with what was said so far of its rows, columns and doubtful values."""

    class Kind(models.TextChoices):
        """What a row is; the order in which the sheets of a workbook are brought in."""

        SPECIES = "species", _("a species")
        STRAINS = "strains", _("a strain")
        ANIMALS = "animals", _("an animal")
        PEOPLE = "people", _("a person")
        MEASUREMENTS = "measurements", _("a measurement of an animal")
        STAYS = "stays", _("a stay of an animal in a tank")
        PAIRINGS = "pairings", _("a female and a male together")
        SIGHTINGS = "sightings", _("something seen of an animal")
        LITTERS = "litters", _("a birth")
        WATER_TESTS = "water", _("a water test of a tank")
        WATER_CHANGES = "changes", _("a water change of a tank")
        FEEDINGS = "feedings", _("a round of feeding")
        OBSERVATIONS = "observations", _("something that ailed an animal")
        TREATMENTS = "treatments", _("a treatment of an animal or a tank")
        SALES = "sales", _("an animal that went to somebody")
        ARRIVALS = "arrivals", _("how an animal came")
        LOANS = "loans", _("an animal lent, by you or to you")
        QUARANTINES = "quarantines", _("an animal in quarantine")
        DEATHS = "deaths", _("how an animal died")
        TRAITS = "traits", _("what an animal shows of a trait")
        REMINDERS = "reminders", _("a reminder")

    class Delimiter(models.TextChoices):
        COMMA = ",", _("commas")
        SEMICOLON = ";", _("semicolons")
        TAB = "\t", _("tabs")

    class DateOrder(models.TextChoices):
        FOUND = "", _("as the table itself tells")
        DAY_FIRST = "day_first", _("day first: 3.5.2024 is 3 May")
        MONTH_FIRST = "month_first", _("month first: 5/3/2024 is 3 May")

    file_name = models.CharField(max_length=120)
    workbook = models.CharField(
        max_length=32, blank=True, help_text="The same for all sheets of one workbook."
    )
    text = models.TextField()
    kind = models.CharField(
        max_length=12,
        choices=Kind.choices,
        default=Kind.ANIMALS,
        verbose_name=_("Each row is"),
    )
    delimiter = models.CharField(max_length=1, choices=Delimiter.choices)
    columns = models.JSONField(default=dict, help_text="Meaning to column position, from 0.")
    left_out = models.JSONField(
        default=list, help_text="Positions of columns that do not go into the note."
    )
    answers = models.JSONField(
        default=list, help_text="What was answered to problems, each answered once."
    )
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
    receipt = models.JSONField(
        default=list, help_text="What else was written down: words, and the address of its page."
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
