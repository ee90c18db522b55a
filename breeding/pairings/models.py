"""Pairings, sightings, scans, nurseries, and how each pregnancy ended: facts only."""

from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal, Photograph
from breeding.housing.models import Tank
from breeding.program.fields import NameField
from breeding.program.models import Withdrawable
from breeding.words.chances import seen_words
from breeding.words.days import long_day
from breeding.words.language import label_of, tell


class Pairing(Withdrawable):
    """A female and a male put together on a day and, later, apart."""

    told_when_changed = ("female", "male", "introduced_on", "separated_on", "withdrawn_at")

    class Moved(models.TextChoices):
        """Who was moved to take them apart, the gentlest on her first."""

        MALE = "male", _("the male was moved")
        DIVIDER = "divider", _("a divider was closed between them")
        FEMALE = "female", _("the female was moved")

    female = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="pairings_as_female")
    male = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="pairings_as_male")
    introduced_on = models.DateField()
    separation_planned_on = models.DateField(
        null=True, blank=True, help_text=_("The day on which the keeper means to separate the two.")
    )
    separated_on = models.DateField(null=True, blank=True)
    moved = models.CharField(max_length=7, choices=Moved.choices, blank=True)
    moved_to = models.ForeignKey(
        Tank, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    inbreeding_expected = models.FloatField(
        default=0.0, help_text=_("Expected F of the young when the pairing was opened.")
    )
    reason = models.CharField(
        max_length=400, blank=True, help_text=_("Why these two in spite of their kinship.")
    )
    note = models.TextField(max_length=1000, blank=True)
    separation_note = models.CharField(max_length=200, blank=True)

    follows = ""  # what was said of whom they met when one was moved; not kept

    class Meta:
        ordering = ["-introduced_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(separated_on__isnull=True) | Q(separated_on__gte=F("introduced_on")),
                name="pairing_separated_after_introduced",
                violation_error_message=_(
                    "They are separated on the day they were introduced, or later."
                ),
            ),
            models.CheckConstraint(
                condition=Q(separation_planned_on__isnull=True)
                | Q(separation_planned_on__gte=F("introduced_on")),
                name="pairing_planned_to_end_after_introduced",
                violation_error_message=_(
                    "The day to separate them is that of their introduction, or later."
                ),
            ),
            models.CheckConstraint(
                condition=~Q(female=F("male")),
                name="pairing_of_two",
                violation_error_message=_(
                    "A pairing takes two; choose a male other than the female."
                ),
            ),
            models.UniqueConstraint(
                fields=["female", "male"],
                condition=Q(separated_on__isnull=True, withdrawn_at__isnull=True),
                name="pairing_open_once",
                violation_error_message=_(
                    "These two are together already; separate them before they are paired again."
                ),
            ),
        ]

    def __str__(self) -> str:
        return tell("{female} and {male}", female=self.female, male=self.male)

    def get_absolute_url(self) -> str:
        return reverse("pairings:detail", args=[self.pk])

    @property
    def is_open(self) -> bool:
        return self.separated_on is None and not self.is_withdrawn


_AFTER = _(
    "When somebody looks within the three days after a mating: how often this is the strongest "
    "sign."
)
_WITHOUT = _(
    "When somebody looks on three days without a mating: how often this is the strongest sign."
)


class SignKind(models.Model):
    """A kind of sign a keeper can see, and how often it is seen after a mating and without one.

    after, without: share of looked-at windows of three days in which it is the strongest sign;
    both empty where it says nothing of a mating.
    """

    key = models.SlugField(unique=True)
    label = NameField(max_length=60)
    explanation = models.CharField(max_length=300, blank=True)
    after = models.FloatField(null=True, blank=True, help_text=_AFTER)
    without = models.FloatField(null=True, blank=True, help_text=_WITHOUT)
    asks_severity = models.BooleanField(default=False)
    is_off_food = models.BooleanField(default=False)
    position = models.PositiveSmallIntegerField(default=0)
    certainty = models.CharField(max_length=1, default="A")
    source = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(after__isnull=True, without__isnull=True)
                | Q(after__gt=0, after__lt=1, without__gt=0, without__lt=1),
                name="signkind_two_shares_or_none",
                violation_error_message=_("Say both shares, each above 0 and below 1, or neither."),
            )
        ]

    def __str__(self) -> str:
        return self.said

    @property
    def said(self) -> str:
        """Its name, in the language of whoever reads it."""
        return tell(self.label)

    @property
    def said_within(self) -> str:
        """The same within a sentence."""
        return tell(self.label.lower())

    @property
    def said_of_it(self) -> str:
        """What is meant by it."""
        return tell(self.explanation) if self.explanation else ""

    @property
    def source_said(self) -> str:
        return tell(self.source) if self.source else ""

    @property
    def shares(self) -> tuple[float, float] | None:
        """After a mating and without one; None where it says nothing of a mating."""
        if self.after is None or self.without is None:
            return None
        return self.after, self.without

    @property
    def is_of_females(self) -> bool:
        """Whether it speaks of a mating alone: written down of her, the male beside it."""
        return self.shares is not None and not self.asks_severity

    @property
    def is_between_two(self) -> bool:
        """Whether a male has his part in it, so that it is worth saying which."""
        return self.shares is not None or self.key == "fleeing"

    @property
    def seen_words(self) -> str:
        return seen_words(*self.shares) if self.shares else ""

    @property
    def strength(self) -> float:
        """How much oftener it is seen after a mating than without one; 0 where it says nothing."""
        return self.shares[0] / self.shares[1] if self.shares else 0.0


class Sighting(Withdrawable):
    """Something seen at the tank, by somebody, at a time.

    female: whoever it was seen of, also a male or a pup; seasons are reckoned of females alone.
    """

    grows_daily = True
    told_when_changed = ("female", "male", "seen_at")

    female = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="sightings")
    kind = models.ForeignKey(SignKind, on_delete=models.PROTECT, related_name="sightings")
    seen_at = models.DateTimeField(db_index=True)
    male = models.ForeignKey(
        Animal, on_delete=models.PROTECT, null=True, blank=True, related_name="sightings_as_male"
    )
    severity = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(4)]
    )
    note = models.CharField(max_length=400, blank=True)
    photograph = models.ForeignKey(
        Photograph, on_delete=models.PROTECT, null=True, blank=True, related_name="sightings"
    )

    class Meta:
        ordering = ["-seen_at", "-pk"]
        indexes = [
            models.Index(fields=["female", "seen_at"], name="sighting_female_seen_at"),
            models.Index(fields=["-seen_at", "-id"], name="sighting_latest_first"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(severity__isnull=True) | Q(severity__lte=4),
                name="sighting_severity_0_to_4",
                violation_error_message=_("How severe a wound is goes from 0 to 4."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.female}: {self.kind}"

    @property
    def picture(self) -> Photograph | None:
        """Its photograph, unless that was withdrawn."""
        return None if self.photograph is None or self.photograph.is_withdrawn else self.photograph

    @property
    def page_address(self) -> str:
        """Where it is looked up: a female's season, anybody else's own page."""
        if self.female.sex == Animal.Sex.FEMALE:
            return reverse("pairings:female", args=[self.female_id])
        return self.female.get_absolute_url()

    @property
    def particulars(self) -> str:
        """What was written down beside the sign, to go on after its name; empty for nothing."""
        said = ""
        if self.severity is not None:
            said += tell(", severity {severity}", severity=self.severity)
        if self.male:
            said += tell(", with {male}", male=self.male.name)
        return f"{said}: {self.note}" if self.note else said


class Scan(Withdrawable):
    """An ultrasound scan: pups seen or none."""

    female = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="scans")
    on = models.DateField()
    positive = models.BooleanField()
    number_seen = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(50)]
    )
    done_by = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]

    @property
    def result_words(self) -> str:
        """What was seen, by whom, and the note."""
        if not self.positive:
            said = tell("nothing seen")
        elif self.number_seen:
            said = tell("pups seen: {number}", number=self.number_seen)
        else:
            said = tell("pups seen")
        if self.done_by:
            said = tell("{result}, by {who}", result=said, who=self.done_by)
        return f"{said}: {self.note}" if self.note else said

    def __str__(self) -> str:
        return tell("{female}, scan of {day}", female=self.female, day=long_day(self.on))


class Outcome(Withdrawable):
    """How a pregnancy, or the hope of one, ended; what was seen before counts for it no more."""

    class Kind(models.TextChoices):
        LIVE_BIRTH = "live_birth", _("live birth")
        SOME_DEAD = "some_dead", _("birth, some or all dead")
        PREMATURE = "premature", _("premature birth")
        RESORBED = "resorbed", _("resorbed")
        NOT_PREGNANT = "not_pregnant", _("was not pregnant")
        UNKNOWN = "unknown", _("unknown")

    BIRTHS = (Kind.LIVE_BIRTH, Kind.SOME_DEAD, Kind.PREMATURE)

    female = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="outcomes")
    on = models.DateField()
    kind = models.CharField(max_length=12, choices=Kind.choices)
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["-on", "-pk"]

    def __str__(self) -> str:
        return tell(
            "{female}: {kind} on {day}",
            female=self.female,
            kind=label_of(self.Kind, self.kind),
            day=long_day(self.on),
        )

    @property
    def is_birth(self) -> bool:
        return self.kind in self.BIRTHS


class Rest(Withdrawable):
    """How long a female rests after a birth by the keeper's own word, whatever the program says."""

    outcome = models.ForeignKey(Outcome, on_delete=models.PROTECT, related_name="rests")
    until = models.DateField(help_text=_("The day from which she may be paired again."))
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return tell(
            "{female} rests until {day}", female=self.outcome.female, day=long_day(self.until)
        )


class NurseryTick(Withdrawable):
    """One thing seen to for an expected birth, or after one: who ticked it, and on which day."""

    class Item(models.TextChoices):
        TANK = "tank", _("tank chosen")
        CYCLED = "cycled", _("tank cycled")
        DIVIDER = "divider", _("divider in")
        FOOD = "food", _("food for the pups ready")
        MALES = "males", _("males away")
        APART = "apart", _("pups and males apart")

    female = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="nursery_ticks")
    item = models.CharField(max_length=7, choices=Item.choices)
    on = models.DateField()
    tank = models.ForeignKey(Tank, on_delete=models.PROTECT, null=True, blank=True)
    outcome = models.ForeignKey(
        Outcome,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="nursery_ticks",
        help_text=_("The birth that a tick made after it belongs to."),
    )

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(item="tank") | Q(tank__isnull=False),
                name="nurserytick_tank_is_named",
                violation_error_message=_("Name the tank that is ready."),
            ),
            models.CheckConstraint(
                condition=~Q(item="apart") | Q(outcome__isnull=False),
                name="nurserytick_apart_after_a_birth",
                violation_error_message=_("Young are taken apart after a birth; name that birth."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.female}: {self.get_item_display()}"
