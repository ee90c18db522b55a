"""Papers on where an animal comes from."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.buyers.models import SourceCode
from breeding.program.fields import NameField
from breeding.program.models import Withdrawable
from breeding.words.language import tell


class OriginPaper(Withdrawable):
    """A paper on where an animal comes from, as the keeper holds it: facts, nothing worked out."""

    part_of = "animal"

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="origin_papers")
    source_code = models.CharField(max_length=1, choices=SourceCode.choices, blank=True)
    permit_number = NameField(max_length=120, blank=True)
    issued_by = models.CharField(max_length=120, blank=True)
    dated = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=400, blank=True)
    document = models.FileField(upload_to="origin/%Y/", blank=True)
    document_type = models.CharField(max_length=20, blank=True, editable=False)
    document_sha256 = models.CharField(max_length=64, blank=True, editable=False)

    class Meta:
        ordering = ["dated", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(source_code="", permit_number="", issued_by="", note="", document=""),
                name="originpaper_says_something",
                violation_error_message=_(
                    "Write down what the paper says (a source code, a number, "
                    "who issued it, a note), or add the document itself."
                ),
            )
        ]

    def __str__(self) -> str:
        return tell("paper of {animal}", animal=self.animal) + (
            f", {self.permit_number}" if self.permit_number else ""
        )
