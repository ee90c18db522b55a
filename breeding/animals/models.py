"""Species and strains, animals and their parents, photographs and measurements."""

import datetime

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from breeding.animals.away.lent import Loan as Loan  # models of this room in files of their own
from breeding.animals.growth.models import Measurement as Measurement
from breeding.animals.parents.assumed import AssumedKin as AssumedKin
from breeding.animals.pictures.models import Photograph as Photograph
from breeding.animals.species.said import several_said
from breeding.animals.tokens import Revision as Revision
from breeding.animals.typed.chips import ChipColumn, is_iso, shown_chip
from breeding.program.fields import NameField, ShareField
from breeding.program.frame.addresses import page_of
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.language import tell


class Profile(models.Model):
    """A set of figures on reproduction: one for each species, one for hybrids, one for the rest."""

    key = models.SlugField(unique=True)
    label = NameField(max_length=80)
    for_hybrids = models.BooleanField(default=False)
    for_unknown = models.BooleanField(default=False)

    class Meta:
        ordering = ["label"]
        constraints = [
            models.UniqueConstraint(
                fields=["for_hybrids"],
                condition=Q(for_hybrids=True),
                name="profile_one_for_hybrids",
                violation_error_message=_(
                    "There is a profile for hybrids already; change that one."
                ),
            ),
            models.UniqueConstraint(
                fields=["for_unknown"],
                condition=Q(for_unknown=True),
                name="profile_one_for_unknown",
                violation_error_message=_(
                    "There is a profile for animals of unknown kind already; change that one."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.label

    @property
    def label_said(self) -> str:
        """Its name, where that is words and not the name of a species."""
        return tell(self.label)


class ProfileFigure(models.Model):
    """One figure of a profile, with how well it is known and where it comes from."""

    class Certainty(models.TextChoices):
        PUBLISHED = "P", _("published")
        KEEPER = "K", _("a keeper's dated record")
        COMMON = "C", _("common practice, no source")
        ASSUMPTION = "A", _("assumption")

    profile = models.ForeignKey(Profile, on_delete=models.CASCADE, related_name="figures")
    name = models.CharField(max_length=60)
    value = models.FloatField()
    certainty = models.CharField(max_length=1, choices=Certainty.choices)
    source = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["profile", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["profile", "name"],
                name="profilefigure_once",
                violation_error_message=_("This profile has that figure already; change it there."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.profile}: {self.name} = {self.value:g}"


class Species(Withdrawable):
    """A species: its accepted name and the name the trade uses, two different things.

    How pages speak of its animals, and what their size is, is data too. Those withdrawn are in
    `every`.
    """

    class OneX(models.TextChoices):
        UNKNOWN = "", _("not known")
        MALES = "M", _("males have one X (XY, X0 or the like)")
        FEMALES = "F", _("females have one Z (ZW or the like)")

    key = models.SlugField(unique=True)
    accepted_name = NameField(max_length=80, help_text=_("Genus and species, as science has it."))
    trade_name = NameField(max_length=80, blank=True, help_text=_("What people say when they buy."))
    profile = models.ForeignKey(Profile, on_delete=models.PROTECT, related_name="species")
    kind_one = NameField(_("one of them is called a"), max_length=30, default="fish")
    kind_many = NameField(_("several are called"), max_length=30, default="fish")
    size_called = NameField(
        _("their size is the"),
        max_length=40,
        default="standard length",
        help_text=_("What is measured of an animal: disc width, standard length."),
    )
    has_spine = models.BooleanField(_("a venomous spine on the tail"), default=False)
    law_note = models.CharField(
        max_length=300, blank=True, help_text=_("What the list of listings does not say.")
    )
    one_x = models.CharField(
        _("how sex is determined"),
        max_length=1,
        choices=OneX.choices,
        blank=True,
        default="",
        help_text=_("Which sex has a sex chromosome once only: by it sex-linked traits go."),
    )
    one_x_source = models.CharField(
        _("how that is known"),
        max_length=300,
        blank=True,
        help_text=_("Where it is published, or who found it."),
    )

    objects = CountingRecords["Species"]()
    every: models.Manager["Species"] = models.Manager()

    class Meta:
        ordering = ["accepted_name"]
        verbose_name_plural = _("species")
        constraints = [
            models.UniqueConstraint(
                fields=["accepted_name"],
                condition=Q(withdrawn_at__isnull=True),
                name="species_name_once",
                violation_error_message=_("This species is on record already; change it there."),
            )
        ]

    def __str__(self) -> str:
        return self.accepted_name

    def get_absolute_url(self) -> str:
        return f"{reverse('animals:species')}#species-{self.pk}"

    def clean(self) -> None:
        if self.one_x and not self.one_x_source.strip():
            told = tell("Where is that known from? Without a source it is not known.")
            raise ValidationError({"one_x_source": told})

    @property
    def short_name(self) -> str:
        genus, _, rest = self.accepted_name.partition(" ")
        return f"{genus[0]}. {rest}" if rest else genus

    @property
    def trade_name_said(self) -> str:
        """What the trade says in the reader's language; empty where that is its name itself."""
        said = tell(self.trade_name) if self.trade_name else ""
        return "" if said == self.accepted_name else said

    @property
    def many_said(self) -> str:
        """What several of them are called, where the reader's language has a word for it."""
        return several_said(self.kind_many)

    @property
    def size_said(self) -> str:
        return tell(self.size_called)


class Strain(Withdrawable):
    """A colour strain or named line; those withdrawn are in `every`."""

    name = NameField(max_length=80)
    species = models.ForeignKey(Species, on_delete=models.PROTECT, null=True, blank=True)
    description = models.TextField(max_length=1000, blank=True)

    objects = CountingRecords["Strain"]()
    every: models.Manager["Strain"] = models.Manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"],
                condition=Q(withdrawn_at__isnull=True),
                name="strain_name_once",
                violation_error_message=_("Another strain is called so; choose another name."),
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return f"{reverse('animals:strains')}#strain-{self.pk}"


class Animal(Withdrawable):
    """One animal, alive or not, here or not.

    `Animal.objects` holds those that count; `Animal.every` those too that were written down by
    mistake, or twice. What others hold (stays, pups) may lead to a withdrawn one.
    """

    class Sex(models.TextChoices):
        FEMALE = "F", _("female")
        MALE = "M", _("male")
        UNKNOWN = "U", _("unknown")

    class Origin(models.TextChoices):
        WILD = "wild", _("wild caught")
        BRED_ELSEWHERE = "elsewhere", _("captive bred elsewhere")
        BORN_HERE = "here", _("born here")
        UNKNOWN = "unknown", _("unknown")

    class Precision(models.TextChoices):
        DAY = "day", _("to the day")
        MONTH = "month", _("to the month")
        YEAR = "year", _("to the year")
        UNKNOWN = "unknown", _("unknown")

    class State(models.TextChoices):
        HERE = "here", _("here")
        ON_LOAN = "on_loan", _("on loan")
        LEFT = "left", _("left")
        DIED = "died", _("died")

    code = NameField(max_length=60, db_index=True)
    call_name = NameField(max_length=60, blank=True)
    chip = ChipColumn(
        _("chip number"),
        max_length=15,
        blank=True,
        help_text=_("ISO 11784: 15 digits, without spaces. An older chip: 9 or 10 characters."),
    )
    sex = models.CharField(max_length=1, choices=Sex.choices, default=Sex.UNKNOWN)
    strain = models.ForeignKey(
        Strain, on_delete=models.PROTECT, null=True, blank=True, related_name="animals"
    )
    origin = models.CharField(max_length=10, choices=Origin.choices, default=Origin.UNKNOWN)
    country = NameField(
        _("country it comes from"),
        max_length=60,
        blank=True,
        help_text=_("Of a founder: a listing can hold for the animals of one country alone."),
    )
    born_on = models.DateField(
        null=True,
        blank=True,
        help_text=_("The first day of the month or year when only that is known."),
    )
    born_precision = models.CharField(
        max_length=7, choices=Precision.choices, default=Precision.UNKNOWN
    )
    sire = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="young_of_sire"
    )
    dam = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="young_of_dam"
    )
    markings = models.TextField(max_length=1000, blank=True)
    note = models.TextField(max_length=2000, blank=True)
    state = models.CharField(max_length=7, choices=State.choices, default=State.HERE)
    state_on = models.DateField(null=True, blank=True)
    follows = ""  # what ended with it when it went, in words; not kept
    portrait = models.ForeignKey(
        "Photograph", on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    # All that pages of others say of it, or rest on (`animals/changed.py`).
    told_when_changed = (
        *("code", "call_name", "sex", "strain", "origin", "born_on", "born_precision"),
        *("sire", "dam", "portrait", "state", "state_on", "withdrawn_at"),
    )

    objects = CountingRecords["Animal"]()
    every: models.Manager["Animal"] = models.Manager()

    class Meta:
        ordering = ["code"]
        indexes = [models.Index(fields=["state", "sex"], name="animal_state_sex")]
        constraints = [
            models.UniqueConstraint(
                fields=["code"],
                condition=Q(withdrawn_at__isnull=True),
                name="animal_code_once",
                violation_error_message=_(
                    "This code is taken by another animal; no two share one."
                ),
            ),
            models.UniqueConstraint(
                fields=["chip"],
                condition=Q(withdrawn_at__isnull=True) & ~Q(chip=""),
                name="animal_chip_once",
                violation_error_message=_(
                    "Another animal has this chip number; find it by the "
                    "number and put right which of the two bears it."
                ),
            ),
            models.CheckConstraint(
                condition=Q(sire__isnull=True) | ~Q(sire=F("id")),
                name="animal_not_its_own_sire",
                violation_error_message=_("An animal cannot be its own sire; choose another male."),
            ),
            models.CheckConstraint(
                condition=Q(dam__isnull=True) | ~Q(dam=F("id")),
                name="animal_not_its_own_dam",
                violation_error_message=_(
                    "An animal cannot be its own dam; choose another female."
                ),
            ),
            models.CheckConstraint(
                condition=Q(sire__isnull=True) | Q(dam__isnull=True) | ~Q(sire=F("dam")),
                name="animal_two_different_parents",
                violation_error_message=_(
                    "Sire and dam are the same animal; choose two different ones."
                ),
            ),
            models.CheckConstraint(
                condition=Q(born_on__isnull=True, born_precision="unknown")
                | Q(born_on__isnull=False) & ~Q(born_precision="unknown"),
                name="animal_birth_date_with_precision",
                violation_error_message=_(
                    "A birth date is known to the day, the month or the year; "
                    "without a date it is unknown."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return page_of("animals:detail", self.pk)

    @property
    def name(self) -> str:
        """What people call it: the call name, or the code for one that has none."""
        return self.call_name or self.code

    @property
    def full_name(self) -> str:
        return f"{self.call_name} ({self.code})" if self.call_name else self.code

    @property
    def chip_words(self) -> str:
        """The number as it is read, and that it is of an older chip."""
        return (
            shown_chip(self.chip)
            if is_iso(self.chip)
            else tell("{chip} (not of ISO 11784)", chip=self.chip)
        )

    @property
    def is_founder(self) -> bool:
        return self.sire_id is None and self.dam_id is None

    @property
    def is_here(self) -> bool:
        return self.state == self.State.HERE

    def was_gone(self, on: datetime.date) -> bool:
        """Whether it is known to have left, or died, before that day.

        Where nobody wrote down when, it was before the animal was written down as gone; an old
        record of the days before that can still be true.
        """
        if self.state not in (self.State.LEFT, self.State.DIED):
            return False
        if self.state_on is not None:
            return on > self.state_on
        return on >= timezone.localdate(self.recorded_at)


class PossibleSire(models.Model):
    """One of several males that may be the sire, with his share of the belief."""

    part_of = "animal"

    animal = models.ForeignKey(Animal, on_delete=models.CASCADE, related_name="possible_sires")
    sire = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="possible_young")
    share = ShareField()

    class Meta:
        ordering = ["animal", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal", "sire"],
                name="possiblesire_once",
                violation_error_message=_(
                    "This male is among the possible sires already; change his share there."
                ),
            ),
            models.CheckConstraint(
                condition=~Q(animal=F("sire")),
                name="possiblesire_not_itself",
                violation_error_message=_(
                    "An animal cannot be its own possible sire; choose another male."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sire} ({self.share})"


class SpeciesShare(models.Model):
    """A part of an animal's ancestry that is known to be of one species.

    Kept only for animals with no recorded parents; what the shares leave over is unknown.
    """

    part_of = "animal"

    animal = models.ForeignKey(Animal, on_delete=models.CASCADE, related_name="species_shares")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="shares")
    share = ShareField()

    class Meta:
        ordering = ["animal", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal", "species"],
                name="speciesshare_once",
                violation_error_message=_(
                    "This species is among the shares of the animal already; change that share."
                ),
            )
        ]

    def __str__(self) -> str:
        return f"{self.share} {self.species}"
