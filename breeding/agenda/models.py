"""What a keeper answered to a line of the day: done, or put off. The lines are computed."""

from django.db import models

from breeding.program.models import Recorded


class Answer(Recorded):
    """An answer to one line of the day, found again by the line's key."""

    key = models.CharField(max_length=120, db_index=True)
    put_off_until = models.DateField(null=True, blank=True, help_text="Empty: it is done.")
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-recorded_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.key}: {'put off' if self.put_off_until else 'done'}"
