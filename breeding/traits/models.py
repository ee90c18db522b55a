"""Traits and what was seen of them: facts only; chances are reckoned, never stored."""

from fractions import Fraction

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal, ProfileFigure, Species
from breeding.program.fields import NameField, ShareField
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.language import tell

LEAST_SURE = 51  # per cent: with less, the opposite was seen


class Trait(Withdrawable):
    """Something of one gene, and how it is believed to be inherited; those withdrawn in `every`.

    Nothing here is known by the tool: every belief is the keeper's, with how well it is known.
    """

    class Inheritance(models.TextChoices):
        RECESSIVE = "recessive", _("recessive: shows only with two copies")
        DOMINANT = "dominant", _("dominant: one copy shows")
        CODOMINANT = "codominant", _("codominant: one copy shows, two show otherwise")
        X_RECESSIVE = "x_recessive", _("sex-linked, recessive")
        X_DOMINANT = "x_dominant", _("sex-linked, dominant")

    class OneCopy(models.TextChoices):
        NOT_LINKED = "", _("both sexes have two")
        MALES = "M", _("males have one (XY)")
        FEMALES = "F", _("females have one (ZW)")

    name = NameField(max_length=80)
    inheritance = models.CharField(max_length=11, choices=Inheritance.choices)
    species = models.ForeignKey(
        Species,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="traits",
        help_text=_("Needed of a sex-linked trait: how its sexes are determined decides."),
    )
    one_copy = models.CharField(
        max_length=1,
        choices=OneCopy.choices,
        blank=True,
        default="",
        editable=False,
        help_text=_("Of a sex-linked trait: which sex of its species has one copy of the gene."),
    )
    certainty = models.CharField(
        max_length=1,
        choices=ProfileFigure.Certainty.choices,
        default=ProfileFigure.Certainty.COMMON,
        help_text=_("How well it is known that it is inherited so."),
    )
    source = models.CharField(max_length=300, blank=True)
    founder_share = ShareField(
        help_text=_("How common the gene is among founders and unknown parents: an assumption.")
    )
    note = models.TextField(max_length=1000, blank=True)

    objects = CountingRecords["Trait"]()
    every: models.Manager["Trait"] = models.Manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"],
                condition=Q(withdrawn_at__isnull=True),
                name="trait_name_once",
                violation_error_message=_("Another trait is called so; choose another name."),
            ),
            models.CheckConstraint(
                condition=Q(inheritance__startswith="x_") & ~Q(one_copy="")
                | ~Q(inheritance__startswith="x_") & Q(one_copy=""),
                name="trait_one_copy_where_sex_linked",
                violation_error_message=_(
                    "Of a sex-linked trait one sex has one copy, of any other trait both have two."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("traits:detail", args=[self.pk])

    @property
    def is_sex_linked(self) -> bool:
        return self.inheritance.startswith("x_")

    @property
    def differs_from_species(self) -> bool:
        """Whether how sex is determined in its species was put right since."""
        return bool(self.is_sex_linked and self.species and self.species.one_x != self.one_copy)

    @property
    def hides(self) -> bool:
        """Whether an animal can carry it unseen."""
        return self.inheritance in (self.Inheritance.RECESSIVE, self.Inheritance.X_RECESSIVE)

    def clean(self) -> None:
        wrong = {}
        if self.is_sex_linked and self.species is None:
            wrong["species"] = tell(
                "Of which species? How its sexes are determined decides which has one copy."
            )
        elif self.is_sex_linked and self.species is not None and not self.species.one_x:
            wrong["species"] = tell(
                "How sex is determined in {species} is not known here, so a sex-linked trait of it "
                "cannot be reckoned. Write it down with its source at the species, or choose how a "
                "trait is inherited that both sexes have alike.",
                species=self.species,
            )
        if self.certainty == ProfileFigure.Certainty.PUBLISHED and not self.source.strip():
            wrong["source"] = tell("Where is it published? Without that it is common practice.")
        share = self.founder_share
        if isinstance(share, Fraction) and not 0 < share < 1:
            wrong["founder_share"] = tell(
                "With 0 % or 100 % nobody could have it, or everybody; choose between."
            )
        if wrong:
            raise ValidationError(wrong)


class TraitLook(Withdrawable):
    """What was seen of a trait on one animal, by eye or by a test, on a day."""

    class Seen(models.TextChoices):
        SHOWS = "shows", _("shows it")
        TWICE = "twice", _("shows it as with two copies")
        NOT = "not", _("does not show it")
        UNTOLD = "untold", _("cannot be told yet")
        NO_COPY = "copies_0", _("tested: no copy")
        ONE_COPY = "copies_1", _("tested: one copy")
        TWO_COPIES = "copies_2", _("tested: two copies")

    trait = models.ForeignKey(Trait, on_delete=models.PROTECT, related_name="looks")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="trait_looks")
    what = models.CharField(max_length=8, choices=Seen.choices)
    on = models.DateField(db_index=True)
    looked_by = NameField(
        max_length=80, blank=True, help_text=_("Who looked, or which laboratory tested.")
    )
    sure_percent = models.PositiveSmallIntegerField(
        default=100, validators=[MinValueValidator(LEAST_SURE), MaxValueValidator(100)]
    )
    note = models.CharField(max_length=400, blank=True)

    objects = CountingRecords["TraitLook"]()
    every: models.Manager["TraitLook"] = models.Manager()

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(sure_percent__gte=LEAST_SURE, sure_percent__lte=100),
                name="traitlook_rather_so_than_not",
                violation_error_message=_("How sure: from 51 to 100 per cent."),
            )
        ]

    def __str__(self) -> str:
        return tell(
            "{animal}, {trait}: {seen}",
            animal=self.animal,
            trait=self.trait,
            seen=self.get_what_display(),
        )
