"""What is offered of a litter, and the addresses that show it."""

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.litters.models import Litter, Pup
from breeding.program.models import Recorded
from breeding.sheets.models import Link
from breeding.words.language import tell


class SalesPage(Recorded):
    """What is offered of one litter to whoever has the page's link."""

    part_of = "litter"
    chosen_with = ("pups",)

    litter = models.OneToOneField(Litter, on_delete=models.PROTECT, related_name="sales_page")
    words = models.TextField(max_length=1500, blank=True)
    pups = models.ManyToManyField(Pup, through="ShownPup", blank=True, related_name="+")

    def __str__(self) -> str:
        return tell("sales page of {litter}", litter=self.litter)

    def get_absolute_url(self) -> str:
        return reverse("offers:sales", args=[self.litter_id])


class ShownPup(models.Model):
    """That a pup stands on a sales page: a row of its own, so that its history is kept."""

    part_of = "salespage"

    salespage = models.ForeignKey(
        SalesPage, on_delete=models.CASCADE, related_name="shown", verbose_name=_("sales page")
    )
    pup = models.ForeignKey(Pup, on_delete=models.CASCADE, related_name="+")

    class Meta:
        verbose_name = _("pup on a sales page")
        verbose_name_plural = _("pups on a sales page")
        constraints = [
            models.UniqueConstraint(
                fields=["salespage", "pup"],
                name="shownpup_once_on_a_page",
                violation_error_message=_("This pup stands on this sales page already."),
            )
        ]

    def __str__(self) -> str:
        return tell("{pup} on {page}", pup=self.pup, page=self.salespage)


class SalesLink(Link):
    """An address of one sales page; it holds another token after each renewal."""

    ROUTE = "offers:offer"

    page = models.ForeignKey(SalesPage, on_delete=models.PROTECT, related_name="links")

    class Meta(Link.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["page"],
                condition=Q(closed_at__isnull=True),
                name="saleslink_one_open",
                violation_error_message=_(
                    "This sales page has an open link already; close that one first."
                ),
            )
        ]

    def __str__(self) -> str:
        return tell("link to {page}", page=self.page)
