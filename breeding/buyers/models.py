"""People who buy, what is kept for them, and the sheets handed out."""

import datetime
import json
from dataclasses import replace
from typing import Any

from django.conf import settings
from django.db import models
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.buyers.sheet_facts import SheetFacts
from breeding.program.models import Recorded, Withdrawable


class Contact(Recorded):
    """Somebody who has bought or wants to buy."""

    name = models.CharField(max_length=80)
    reach = models.CharField(max_length=200, blank=True, help_text="Mail, telephone, or how else.")
    wish = models.TextField(max_length=1000, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("buyers:detail", args=[self.pk])


class Reservation(Withdrawable):
    """An animal kept for somebody until a day."""

    contact = models.ForeignKey(Contact, on_delete=models.PROTECT, related_name="reservations")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="reservations")
    reserved_on = models.DateField()
    until = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-reserved_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=models.Q(withdrawn_at__isnull=True),
                name="reservation_one_for_an_animal",
            )
        ]

    def __str__(self) -> str:
        return f"{self.animal} for {self.contact}"

    def has_run_out(self, today: datetime.date) -> bool:
        return not self.is_withdrawn and self.until is not None and self.until < today


class Sheet(models.Model):
    """A parentage sheet as issued: its facts and its file never change afterwards."""

    number = models.CharField(max_length=20, unique=True)
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="sheets")
    contact = models.ForeignKey(
        Contact, on_delete=models.PROTECT, null=True, blank=True, related_name="sheets"
    )
    issued_on = models.DateField()
    issued_at = models.DateTimeField(auto_now_add=True)
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    facts = models.JSONField()
    tree_svg = models.TextField(blank=True)
    paper = models.CharField(max_length=10, default="a4")
    file = models.FileField(upload_to="sheets/%Y/")

    class Meta:
        ordering = ["-issued_on", "-pk"]

    def __str__(self) -> str:
        return f"parentage sheet {self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise TypeError(f"{self} is kept as issued; issue a new one.")
        super().save(*args, **kwargs)

    def get_absolute_url(self) -> str:
        return reverse("buyers:sheet", args=[self.pk])

    @property
    def issued_facts(self) -> SheetFacts:
        """What the sheet says, with its tree, as it was issued."""
        return replace(SheetFacts.from_json(json.dumps(self.facts)), tree=self.tree_svg)


class SheetPicture(models.Model):
    """A picture as it stood on an issued sheet: a copy of its own."""

    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="pictures")
    role = models.CharField(max_length=10)
    picture = models.FileField(upload_to="sheets/%Y/")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["sheet", "role"], name="sheetpicture_role_once")
        ]

    def __str__(self) -> str:
        return f"{self.role} on {self.sheet}"
