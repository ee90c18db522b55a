"""A file on its way in: kept until it is written or given up."""

from django.db import models

from breeding.program.models import Recorded


class ImportDraft(Recorded):
    """An uploaded table of animals with the meaning given to its columns so far."""

    file_name = models.CharField(max_length=120)
    text = models.TextField()
    columns = models.JSONField(default=dict, help_text="Field name to column position.")
    written_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-recorded_at"]

    def __str__(self) -> str:
        return self.file_name
