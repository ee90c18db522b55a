"""Ancestry taken from other programs, and by which names its animals are known there."""

import base64

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.language import tell


class TakenAncestry(Withdrawable):
    """A signed file as it was taken; it is kept whole, and can be withdrawn as a whole.

    key: of the program that signed it, 64 hexadecimal figures. digest: SHA-256 of what was signed.
    """

    file_base64 = models.TextField()
    digest = models.CharField(max_length=64)
    key = models.CharField(max_length=64)
    issuer = models.CharField(max_length=60, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["TakenAncestry"]()
    every: models.Manager["TakenAncestry"] = models.Manager()

    class Meta:
        verbose_name = _("ancestry taken")
        verbose_name_plural = _("ancestries taken")
        ordering = ["-recorded_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["digest"],
                condition=Q(withdrawn_at__isnull=True),
                name="taken_ancestry_once",
                violation_error_message=_("This file was taken already."),
            )
        ]

    def __str__(self) -> str:
        return tell("the ancestry from {issuer}", issuer=self.issuer or self.key[:8])

    def get_absolute_url(self) -> str:
        return reverse("exchange:taken", args=[self.pk])

    @property
    def content(self) -> bytes:
        """The file, byte for byte."""
        return base64.b64decode(self.file_base64)


class KnownAs(models.Model):
    """By which identity an animal is known in the program that named it first."""

    part_of = "taken"

    taken = models.ForeignKey(TakenAncestry, on_delete=models.CASCADE, related_name="names")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="+")
    identity = models.CharField(max_length=130)
    is_new = models.BooleanField()

    class Meta:
        verbose_name = _("name in another program")
        verbose_name_plural = _("names in other programs")
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["taken", "identity"],
                name="known_as_once_a_file",
                violation_error_message=_("This animal stands in that file already."),
            )
        ]

    def __str__(self) -> str:
        return self.identity
