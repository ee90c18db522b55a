"""What every address for those without an account has in common."""

from django.db import models

from breeding.program.models import Recorded


class Link(Recorded):
    """An address that shows something to whoever has it, until it is closed or runs out.

    Found by the hash of its token, so that neither the time a search takes nor an index says how
    much of a guess was right. The token itself is kept to show the address again.
    """

    token = models.CharField(max_length=43, editable=False)
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    last_day = models.DateField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        abstract = True
        ordering = ["-pk"]
