"""People who buy: what they wish for, what is kept for them, what went to them."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal, Species, Strain
from breeding.program.fields import NameField
from breeding.program.models import Withdrawable
from breeding.traits.models import Trait
from breeding.words.days import long_day
from breeding.words.language import message, tell

MOST_HOURS = 240
MOST_HOURS_ON_ONE_OXYGEN = 36  # CITES guidance on packing live fish
CURRENCY = RegexValidator(
    r"^[A-Z]{3}\Z", _("A currency is three capital letters, like EUR, GBP or USD.")
)

# A reservation that holds: neither withdrawn nor fulfilled by a hand-over.
STANDING = models.Q(withdrawn_at__isnull=True, fulfilled_on__isnull=True)

# A hand-over of an animal that has not come back.
AWAY = models.Q(came_back_on__isnull=True, withdrawn_at__isnull=True)

# A contact that can be chosen: neither withdrawn nor erased.
ON_RECORD = models.Q(withdrawn_at__isnull=True, erased_at__isnull=True)
NOBODY = message("a buyer")  # what is left of the name of somebody whose data were erased


class Contact(Withdrawable):
    """Somebody who has bought or wants to buy; of one who was erased no more than that is left."""

    name = NameField(max_length=80)
    reach = NameField(max_length=200, blank=True, help_text=_("Mail, telephone, or how else."))
    wish = models.TextField(max_length=1000, blank=True)
    language = models.CharField(
        max_length=12, blank=True, default="", help_text="Of the sheets issued for them."
    )
    erased_at = models.DateTimeField(null=True, editable=False)
    erased_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        editable=False,
        related_name="+",
    )
    erased_because = models.CharField(max_length=200, blank=True, editable=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(erased_at__isnull=True) | Q(name=NOBODY, reach="", wish=""),
                name="contact_erased_is_nobody",
                violation_error_message=_(
                    "This person's data were erased on request; nothing is "
                    "written down of them again."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell(NOBODY) if self.is_erased else self.name

    def get_absolute_url(self) -> str:
        return reverse("buyers:detail", args=[self.pk])

    @property
    def is_erased(self) -> bool:
        return self.erased_at is not None

    @property
    def is_on_record(self) -> bool:
        """Whether anything new may be written of them."""
        return not self.is_withdrawn and not self.is_erased


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

    told_when_changed = ("contact",)

    class Meta:
        ordering = ["-reserved_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=STANDING,
                name="reservation_one_for_an_animal",
                violation_error_message=_(
                    "This animal is reserved for somebody already; withdraw that reservation first."
                ),
            ),
            models.CheckConstraint(
                condition=models.Q(deposit__isnull=True, deposit_currency="")
                | models.Q(deposit__isnull=False, deposit__gte=0) & ~models.Q(deposit_currency=""),
                name="reservation_deposit_with_currency",
                violation_error_message=_(
                    "A deposit is 0 or more with its currency; without an "
                    "amount there is no currency."
                ),
            ),
            models.CheckConstraint(
                condition=models.Q(deposit__isnull=False) | models.Q(deposit_paid_on__isnull=True),
                name="reservation_paid_what",
                violation_error_message=_(
                    "A deposit that was paid has an amount; write down how much it was."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell("{animal} for {contact}", animal=self.animal, contact=self.contact)

    @property
    def is_standing(self) -> bool:
        return not self.is_withdrawn and self.fulfilled_on is None


class SourceCode(models.TextChoices):
    """The source codes of CITES papers: what each says stands beside it, none is worked out."""

    WILD = "W", _("W: taken from the wild")
    FIRST = "F", _("F: born in captivity, the test for C not met")
    BRED = "C", _("C: bred in captivity")
    RANCHED = "R", _("R: ranched, reared from the wild in a controlled place")
    BEFORE_LISTING = "O", _("O: acquired before its species was listed")


class Wish(Withdrawable):
    """What somebody waits for, in parts that can be looked for; what is left open may be any."""

    class Kind(models.TextChoices):
        ANY = "", _("pure or hybrid")
        PURE = "pure", _("pure")
        HYBRID = "hybrid", _("hybrid")

    class Sex(models.TextChoices):
        ANY = "", _("either sex")
        FEMALE = "F", _("female")
        MALE = "M", _("male")

    class Wanted(models.TextChoices):
        NOTHING = "", _("no matter")
        SHOWS = "shows", _("shows it")
        CARRIES = "carries", _("carries it")

    contact = models.ForeignKey("buyers.Contact", on_delete=models.PROTECT, related_name="wishes")
    wished_on = models.DateField()
    species = models.ForeignKey(
        Species, on_delete=models.PROTECT, null=True, blank=True, related_name="wishes"
    )
    strain = models.ForeignKey(
        Strain, on_delete=models.PROTECT, null=True, blank=True, related_name="wishes"
    )
    sex = models.CharField(max_length=1, choices=Sex.choices, blank=True, default="")
    kind = models.CharField(max_length=6, choices=Kind.choices, blank=True, default="")
    least_disc_width_mm = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(10), MaxValueValidator(3000)]
    )
    trait = models.ForeignKey(
        Trait, on_delete=models.PROTECT, null=True, blank=True, related_name="wishes"
    )
    trait_wanted = models.CharField(max_length=7, choices=Wanted.choices, blank=True, default="")
    trait_least_percent = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(99)],
        help_text=_("With which chance at least. Empty: for certain."),
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["wished_on", "pk"]
        verbose_name_plural = _("wishes")
        constraints = [
            models.CheckConstraint(
                condition=Q(trait__isnull=True, trait_wanted="", trait_least_percent__isnull=True)
                | Q(trait__isnull=False) & ~Q(trait_wanted=""),
                name="wish_trait_with_what_is_wanted",
                violation_error_message=_(
                    "A wish for a trait says whether the animal shows it or carries it."
                ),
            )
        ]

    def __str__(self) -> str:
        return tell("wish of {contact} from {day}", contact=self.contact, day=self.wished_on)

    def clean(self) -> None:
        self._check_trait()
        strain, species = self.strain, self.species
        if strain and species and strain.species_id and strain.species_id != species.pk:
            raise ValidationError(
                {
                    "strain": tell(
                        "{strain} is a strain of {species}, not of {chosen}.",
                        strain=strain,
                        species=strain.species,
                        chosen=species,
                    )
                }
            )

    def _check_trait(self) -> None:
        trait, wanted = self.trait, self.trait_wanted
        if trait is None and (wanted or self.trait_least_percent is not None):
            raise ValidationError({"trait": tell("Of which trait? Choose it here.")})
        if trait is not None and not wanted:
            raise ValidationError(
                {"trait_wanted": tell("Is {trait} to show, or to be carried?", trait=trait)}
            )
        if trait is not None and wanted == Wish.Wanted.CARRIES and not trait.hides:
            raise ValidationError(
                {
                    "trait_wanted": tell(
                        "{trait} shows in everybody who has it; choose “shows it”.", trait=trait
                    )
                }
            )


class HandOver(Withdrawable):
    """An animal that went to somebody; when it came back, that too."""

    class Transport(models.TextChoices):
        OWN_CAR = "own_car", _("own car")
        COURIER = "courier", _("courier")
        AIR = "air", _("by air")

    follows = ""  # what was said of where it is once it came back; not kept

    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="hand_overs")
    contact = models.ForeignKey(
        "buyers.Contact", on_delete=models.PROTECT, related_name="hand_overs"
    )
    reservation = models.OneToOneField(
        "buyers.Reservation",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="hand_over",
    )
    on = models.DateField(_("left on"))
    price = models.DecimalField(
        max_digits=10, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    currency = models.CharField(max_length=3, blank=True, validators=[CURRENCY])
    transport = models.CharField(max_length=7, choices=Transport.choices)
    hours_expected = models.PositiveSmallIntegerField(
        _("hours expected on the way"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(MOST_HOURS)],
    )
    packing = models.TextField(max_length=500, blank=True)
    permit_number = NameField(_("permit numbers"), max_length=120, blank=True)
    source_code = models.CharField(
        _("source code on the papers"), max_length=1, choices=SourceCode.choices, blank=True
    )
    reason = models.CharField(_("why although it was held"), max_length=400, blank=True)
    note = models.CharField(max_length=200, blank=True)
    # What the animal was before, so that a mistaken hand-over restores it to the day.
    state_before = models.CharField(
        _("what it was before"),
        max_length=7,
        choices=Animal.State.choices,
        default=Animal.State.HERE,
        editable=False,
    )
    state_before_on = models.DateField(_("and since when"), null=True, editable=False)
    came_back_on = models.DateField(null=True, blank=True, editable=False)
    came_back_because = models.CharField(max_length=200, blank=True, editable=False)

    told_when_changed = ("contact",)

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["animal"],
                condition=AWAY,
                name="handover_one_for_an_animal",
                violation_error_message=_(
                    "This animal is on record as handed over; write down there that it came back."
                ),
            ),
            models.CheckConstraint(
                condition=Q(price__isnull=True, currency="")
                | Q(price__isnull=False, price__gte=0) & ~Q(currency=""),
                name="handover_price_with_currency",
                violation_error_message=_(
                    "A price is 0 or more with its currency; without an amount"
                    " there is no currency."
                ),
            ),
            models.CheckConstraint(
                condition=Q(came_back_on__isnull=True, came_back_because="")
                | Q(came_back_on__isnull=False, came_back_on__gte=F("on"))
                & ~Q(came_back_because=""),
                name="handover_came_back_for_a_reason",
                violation_error_message=_(
                    "An animal comes back on the day it left, or later, and "
                    "with the reason written down."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell(
            "{animal} to {contact} on {day}",
            animal=self.animal,
            contact=self.contact,
            day=long_day(self.on),
        )

    @property
    def is_away(self) -> bool:
        return self.came_back_on is None and not self.is_withdrawn
