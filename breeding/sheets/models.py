"""Parentage sheets as issued, and the addresses that show them."""

import datetime
import json
from dataclasses import replace
from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.buyers.models import Contact
from breeding.program.language.catalogs import AS_WRITTEN
from breeding.program.models import Recorded
from breeding.sheets.contents.facts import SheetFacts
from breeding.sheets.sealing.seal import Seal
from breeding.words.language import tell


class Link(Recorded):
    """An address that shows something to whoever has it, until it is closed or runs out.

    Found by the hash of its token, so that neither the time a search takes nor an index says how
    much of a guess was right. The token itself is kept to show the address again.
    """

    ROUTE: ClassVar[str]  # of the page it shows, by its token

    token = models.CharField(max_length=43, editable=False)
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    last_day = models.DateField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        abstract = True
        ordering = ["-pk"]

    def is_good(self, today: datetime.date) -> bool:
        return self.closed_at is None and (self.last_day is None or today <= self.last_day)


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
    # Its ancestry as data, for other programs; empty where the keeper did not want it.
    ancestry = models.JSONField(default=dict, blank=True)
    paper = models.CharField(max_length=10, default="a4")
    file = models.FileField(upload_to="sheets/%Y/")
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="correction"
    )
    # Empty on sheets from before there were keys.
    file_frame_sha256 = models.CharField(max_length=64, blank=True)
    signature = models.CharField(max_length=128, blank=True)
    public_key = models.CharField(max_length=64, blank=True)
    # A person was named in its words and asked to be erased: the copy kept here lost these words
    # and its file, and differs from what was signed from then on.
    words_erased_on = models.DateField(null=True, editable=False)

    class Meta:
        ordering = ["-issued_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(corrects__isnull=True) | ~models.Q(corrects=models.F("id")),
                name="sheet_does_not_correct_itself",
                violation_error_message=_("A sheet corrects an earlier one, never itself."),
            )
        ]

    def __str__(self) -> str:
        return tell("parentage sheet {number}", number=self.number)

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise TypeError(f"{self} is kept as issued; issue a new one.")
        super().save(*args, **kwargs)

    def get_absolute_url(self) -> str:
        return reverse("sheets:detail", args=[self.pk])

    @property
    def is_withdrawn(self) -> bool:
        """It holds no more, and holds back nothing that rests on its animal."""
        return hasattr(self, "withdrawal")

    @property
    def issued_facts(self) -> SheetFacts:
        """What the sheet says, with its tree, as it was issued."""
        return replace(SheetFacts.from_json(json.dumps(self.facts)), tree=self.tree_svg)

    @property
    def language(self) -> str:
        """In which it was written; it stays so."""
        return str(self.facts.get("language", AS_WRITTEN))

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
            models.UniqueConstraint(
                fields=["sheet", "role"],
                name="sheetpicture_role_once",
                violation_error_message=_(
                    "A sheet holds one picture of each animal; this one is there already."
                ),
            )
        ]

    def __str__(self) -> str:
        return f"{self.role} on {self.sheet}"


class SheetWithdrawal(Recorded):
    """That a sheet holds no more, and why: beside the sheet, which stays as it was issued."""

    sheet = models.OneToOneField(Sheet, on_delete=models.PROTECT, related_name="withdrawal")
    withdrawn_on = models.DateField()
    reason = models.CharField(max_length=200)

    def __str__(self) -> str:
        return tell("{sheet} withdrawn on {day}", sheet=self.sheet, day=self.withdrawn_on)


class SheetReturn(Recorded):
    """That a withdrawal was a slip: the sheet counts again, and both days stay readable."""

    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="returns")
    withdrawn_on = models.DateField()
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    reason = models.CharField(max_length=200)
    brought_back_on = models.DateField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return tell(
            "{sheet} brought back on {day}",
            sheet=self.sheet,
            day=self.brought_back_on,
        )


class SheetLink(Link):
    """An address of one sheet."""

    ROUTE = "sheets:shared"

    sheet = models.ForeignKey(Sheet, on_delete=models.PROTECT, related_name="links")

    class Meta(Link.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["sheet"],
                condition=models.Q(closed_at__isnull=True),
                name="sheetlink_one_open",
                violation_error_message=_(
                    "This sheet has an open link already; close that one first."
                ),
            )
        ]

    def __str__(self) -> str:
        return tell("link to {sheet}", sheet=self.sheet)


class Sharing(models.Model):
    """Under which address others reach this program; one row."""

    public_address = models.URLField(
        max_length=200,
        blank=True,
        help_text=_(
            "The address others reach this program by, like https://example.org. Empty: "
            "links use the address you yourself are using."
        ),
    )

    class Meta:
        verbose_name_plural = _("sharing")
        constraints = [
            models.CheckConstraint(
                condition=models.Q(pk=1),
                name="sharing_only_one",
                violation_error_message=_(
                    "There is one public address, and it is written down already; change that one."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.public_address or tell("no public address")
