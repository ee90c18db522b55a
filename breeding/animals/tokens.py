"""The tokens under which the lineage and the figures of species are kept."""

from django.db import models

from breeding.program.models import new_revision


class Revision(models.Model):
    """One row of two tokens; what is computed from the rows is kept under them.

    `lineage` changes only when parentage changes, `figures` only when species or signs do.
    """

    lineage = models.CharField(max_length=32, default=new_revision)
    figures = models.CharField(max_length=32, default=new_revision)

    def __str__(self) -> str:
        return f"{self.lineage} {self.figures}"
