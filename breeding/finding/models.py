"""The index of what can be found; filled by the database itself, and made anew at any time."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class Entry(models.Model):
    """What stands in one column of one record, in letters that are found.

    A name stands in `name` and, without what is between its parts, in `compact`; any other text
    in `words`. Written by triggers alone (index/written.py).
    """

    kind = models.CharField(max_length=30)
    record = models.BigIntegerField()
    part = models.CharField(max_length=30, help_text="The column it stands in.")
    name = models.TextField()
    words = models.TextField()
    compact = models.TextField()
    is_withdrawn = models.BooleanField(help_text="Its record is.")

    class Meta:
        verbose_name_plural = "entries"
        indexes = [
            models.Index(fields=["kind", "record"], name="entry_of_record"),
            models.Index(fields=["compact"], name="entry_compact", opclasses=["text_pattern_ops"]),
        ]

    def __str__(self) -> str:
        return f"{self.part} of {self.kind} {self.record}"


class Built(models.Model):
    """One row: from which statements the index was made, and what the database could do."""

    class Engine(models.TextChoices):
        FTS5 = "fts5", _("SQLite's full text, by three letters")
        TRIGRAM = "trigram", _("PostgreSQL's index by three letters")
        PLAIN = "plain", _("no index by three letters: every text is looked through")

    signature = models.CharField(max_length=64)
    engine = models.CharField(max_length=10, choices=Engine.choices)

    def __str__(self) -> str:
        return self.get_engine_display()
