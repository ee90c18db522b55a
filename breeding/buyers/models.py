"""People who buy, what is kept for them, and the sheets handed out."""

import datetime
import json
from dataclasses import replace
from typing import Any

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.buyers.link_models import Link
from breeding.buyers.sale_models import (
    CURRENCY,
    HandOver,
    OriginPaper,
    SalesLink,
    SalesPage,
    SourceCode,
    Wish,
)
from breeding.buyers.sheet_facts import SheetFacts
from breeding.buyers.sheet_seal import Seal
from breeding.program.models import Recorded, Withdrawable

__all__ = [
    "STANDING",
    "Contact",
    "HandOver",
    "OriginPaper",
    "Reservation",
    "SalesLink",
    "SalesPage",
    "Sharing",
    "Sheet",
    "SheetLink",
    "SheetPicture",
    "SheetWithdrawal",
    "SourceCode",
    "Wish",
]

# A reservation that holds: neither withdrawn nor fulfilled by a hand-over.
STANDING = models.Q(withdrawn_at__isnull=True, fulfilled_on__isnull=True)


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
    deposit = models.DecimalField(
        max_digits=10,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    deposit_currency = models.CharField(max_length=3, blank=True, validators=[CURRENCY])
    deposit_paid_on = models.DateField(null=True, blank=True)
    fulfilled_on = models.DateField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["-reserved_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=STANDING,
                name="reservation_one_for_an_animal",
            ),
            models.CheckConstraint(
                condition=models.Q(deposit__isnull=True, deposit_currency="")
                | models.Q(deposit__isnull=False, deposit__gte=0) & ~models.Q(deposit_currency=""),
                name="reservation_deposit_with_currency",
            ),
            models.CheckConstraint(
                condition=models.Q(deposit__isnull=False) | models.Q(deposit_paid_on__isnull=True),
                name="reservation_paid_what",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal} for {self.contact}"

    def has_run_out(self, today: datetime.date) -> bool:
        return self.is_standing and self.until is not None and self.until < today

    @property
    def is_standing(self) -> bool:
        return not self.is_withdrawn and self.fulfilled_on is None


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
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="correction"
    )
    # Empty on sheets from before there were keys.
    file_frame_sha256 = models.CharField(max_length=64, blank=True)
    signature = models.CharField(max_length=128, blank=True)
    public_key = models.CharField(max_length=64, blank=True)

    class Meta:
        ordering = ["-issued_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(corrects__isnull=True) | ~models.Q(corrects=models.F("id")),
                name="sheet_does_not_correct_itself",
            )
        ]

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

    @property
    def seal(self) -> Seal | None:
        """Its signature; None for one from before there were keys."""
        return Seal(self.signature, self.public_key) if self.signature else None


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


class SheetWithdrawal(Recorded):
    """That a sheet holds no more, and why: beside the sheet, which stays as it was issued."""

    sheet = models.OneToOneField(Sheet, on_delete=models.PROTECT, related_name="withdrawal")
    withdrawn_on = models.DateField()
    reason = models.CharField(max_length=200)

    def __str__(self) -> str:
        return f"{self.sheet} withdrawn on {self.withdrawn_on}"


class SheetLink(Link):
    """An address of one sheet."""

    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="links")

    class Meta(Link.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["sheet"],
                condition=models.Q(closed_at__isnull=True),
                name="sheetlink_one_open",
            )
        ]

    def __str__(self) -> str:
        return f"link to {self.sheet}"

    def is_good(self, today: datetime.date) -> bool:
        return self.closed_at is None and (self.last_day is None or today <= self.last_day)


class Sharing(models.Model):
    """Under which address others reach this program; one row."""

    public_address = models.URLField(
        max_length=200,
        blank=True,
        help_text="The address others reach this program by, like https://rays.example. Empty: "
        "links use the address you yourself are using.",
    )

    class Meta:
        verbose_name_plural = "sharing"
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="sharing_only_one"),
        ]

    def __str__(self) -> str:
        return self.public_address or "no public address"
