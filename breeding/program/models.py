"""The program itself, its people, and what every record has in common."""

import uuid
from typing import TYPE_CHECKING, ClassVar, TypeVar
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from breeding.program.access.models import SignedIn
from breeding.program.fields import NameField
from breeding.program.typed.zones import examples_words, known_zones
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import percent
from breeding.words.stored import read_stored

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise as Words

__all__ = ["SignedIn"]  # the models of the sub-rooms; Django looks for them here

MOST_LEAD_DAYS = 365
MOST_ADDRESS_LINES = 4
DAYS_FIELDS = (
    "separation_lead_days",
    "nursery_lead_days",
    "rest_days",
    "nursery_test_days",
    "water_test_days",
)


ROLE_WORDS = {"owner": message("owner"), "keeper": message("keeper"), "viewer": message("viewer")}


def role_words(role: str) -> str:
    """What a role is called, without what it may do."""
    return tell(ROLE_WORDS.get(role, role))


class Person(AbstractUser):
    """Somebody who signs in."""

    class Role(models.TextChoices):
        OWNER = "owner", _("owner: everything, and the people")
        KEEPER = "keeper", _("keeper: reads and writes")
        VIEWER = "viewer", _("viewer: reads")

    first_name = NameField(_("first name"), max_length=150, blank=True)  # as others read it
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.VIEWER)
    sees_buyers = models.BooleanField(
        default=False,
        help_text=_("A viewer who may see buyers and their wishes, because an owner allows it."),
    )
    language = models.CharField(
        max_length=12, blank=True, default="", help_text=_("Empty: as the browser asks.")
    )
    clock = models.CharField(
        max_length=2, blank=True, default="", help_text=_("24 or 12 hours; empty: as the language.")
    )
    two_step_since = models.DateTimeField(_("two-step sign-in since"), null=True, editable=False)

    class Meta:
        verbose_name_plural = _("people")

    def __str__(self) -> str:
        return self.first_name or self.username

    @property
    def role_words(self) -> str:
        """The role alone, as it is said in a sentence."""
        return role_words(self.role)

    @property
    def may_write(self) -> bool:
        return self.is_active and self.role in (self.Role.OWNER, self.Role.KEEPER)

    @property
    def is_owner(self) -> bool:
        return self.is_active and self.role == self.Role.OWNER

    @property
    def may_see_buyers(self) -> bool:
        """Whether pages name buyers, how they are reached and what they wish for to this person."""
        return self.is_active and (self.may_write or self.sees_buyers)


def validate_time_zone(name: str) -> None:
    if name not in known_zones():
        raise ValidationError(
            tell(
                "“{name}” is not a time zone; write it like {examples}.",
                name=name,
                examples=examples_words(),
            )
        )


def _share_of_one(default: float, help_text: "Words") -> "models.FloatField[float, float]":
    return models.FloatField(
        default=default,
        help_text=help_text,
        validators=[MinValueValidator(0.0), MaxValueValidator(1.0)],
    )


class Program(models.Model):
    """The one breeding program in this database: its name, units and thresholds."""

    class LengthUnit(models.TextChoices):
        CM = "cm", _("centimetres")
        IN = "in", _("inches")

    class WeightUnit(models.TextChoices):
        G = "g", _("grams")
        OZ = "oz", _("ounces")

    class TemperatureUnit(models.TextChoices):
        C = "C", _("degrees Celsius")
        F = "F", _("degrees Fahrenheit")

    class VolumeUnit(models.TextChoices):
        L = "l", _("litres")
        GAL = "gal", _("US gallons")

    name = NameField(max_length=80)
    code_prefix = NameField(
        max_length=6, blank=True, help_text=_("Stands before the number in each new animal's code.")
    )
    time_zone = models.CharField(max_length=60, default="UTC", validators=[validate_time_zone])
    language = models.CharField(
        max_length=12,
        blank=True,
        default="",
        help_text=_(
            "For those who chose no language and whose browser asks for none that is here."
        ),
    )
    length_unit = models.CharField(max_length=2, choices=LengthUnit.choices, default="cm")
    weight_unit = models.CharField(max_length=2, choices=WeightUnit.choices, default="g")
    temperature_unit = models.CharField(max_length=1, choices=TemperatureUnit.choices, default="C")
    volume_unit = models.CharField(max_length=3, choices=VolumeUnit.choices, default="l")
    inbreeding_caution = _share_of_one(
        0.0625, _("From this expected F of the young on, the pairing page warns. 6.25 %: cousins.")
    )
    inbreeding_needs_reason = _share_of_one(
        0.125, _("From this expected F on, a reason must be written. 12.5 %: half siblings.")
    )
    bred_chance = _share_of_one(0.75, _("From this chance on she counts as pregnant."))
    planning_chance = _share_of_one(
        0.50, _("From this chance on, the day plans her separation and her nursery.")
    )
    overdue_lateness = _share_of_one(
        0.95,
        _(
            "She counts as overdue when the chance that she would have given birth by now "
            "reaches this."
        ),
    )
    separation_lead_days = models.PositiveSmallIntegerField(
        default=14, help_text=_("Separate this many days before the due window opens.")
    )
    nursery_lead_days = models.PositiveSmallIntegerField(
        default=7,
        help_text=_("Have the nursery ready this many days before the due window opens."),
    )
    separate_at_severity = models.PositiveSmallIntegerField(
        default=3,
        validators=[MinValueValidator(1), MaxValueValidator(4)],
        help_text=_("Separate at once from this severity of bite marks on (1 to 4)."),
    )
    weight_loss_caution = _share_of_one(
        0.10,
        _(
            "From this share of her weight lost since she was heaviest in the last 90 days, her "
            "page says so. An assumption."
        ),
    )
    rest_days = models.PositiveSmallIntegerField(
        default=0,
        help_text=_("Days a female rests after a birth before she is paired again; 0 for none."),
    )
    nursery_test_days = models.PositiveSmallIntegerField(
        default=3,
        help_text=_(
            "How many days old the newest water test of a nursery or quarantine tank with animals "
            "may be before the day asks for one; 0: it never asks."
        ),
    )
    water_test_days = models.PositiveSmallIntegerField(
        default=7, help_text=_("The same for every other tank with animals: your own rhythm.")
    )
    address = models.CharField(
        max_length=200,
        blank=True,
        help_text=_(
            "Where the breeder lives, in up to four lines. Printed on sheets when filled in."
        ),
    )
    telephone = models.CharField(
        max_length=40,
        blank=True,
        help_text=_(
            "The number by which a buyer reaches the breeder. Printed on sheets when filled in."
        ),
    )
    emergency_number = models.CharField(max_length=40, blank=True)
    poison_number = models.CharField(max_length=40, blank=True)
    veterinarian = NameField(max_length=120, blank=True)
    is_demo = models.BooleanField(default=False, editable=False)

    class Meta:
        verbose_name_plural = _("program")
        constraints = [
            models.CheckConstraint(
                condition=models.Q(pk=1),
                name="program_only_one",
                violation_error_message=_(
                    "There is one program, and it is written down already; change that one."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        for name in DAYS_FIELDS:
            days = getattr(self, name)
            if days is not None and days > MOST_LEAD_DAYS:
                words = tell_many(
                    "{number} day is too many; at most {most} are allowed.",
                    "{number} days are too many; at most {most} are allowed.",
                    days,
                    most=MOST_LEAD_DAYS,
                )
                raise ValidationError({name: words})
        lines = len(self.address.splitlines())
        if lines > MOST_ADDRESS_LINES:
            words = tell_many(
                "{number} line is too many for a sheet; at most {most} are allowed.",
                "{number} lines are too many for a sheet; at most {most} are allowed.",
                lines,
                most=MOST_ADDRESS_LINES,
            )
            raise ValidationError({"address": words})
        thresholds = (self.inbreeding_needs_reason, self.inbreeding_caution)
        if None in thresholds:
            return  # said at the field already
        if self.inbreeding_needs_reason < self.inbreeding_caution:
            words = tell(
                "A reason cannot be asked for below the caution: {reason} is less than {caution}.",
                reason=percent(self.inbreeding_needs_reason),
                caution=percent(self.inbreeding_caution),
            )
            raise ValidationError({"inbreeding_needs_reason": words})

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)


class SignInLink(models.Model):
    """A link that lets somebody in once: printed by a command, or handed over by an owner."""

    token_hash = models.CharField(max_length=64, unique=True)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        null=True,
        help_text=_("Nobody: the link makes the owner's account."),
    )
    made_at = models.DateTimeField()
    good_until = models.DateTimeField()
    used_at = models.DateTimeField(null=True)
    asks_password = models.BooleanField(
        default=False, help_text=_("It asks for a new password, and then signs in.")
    )

    def __str__(self) -> str:
        if self.person is None:
            return tell("sign-in link for the owner to be")
        return tell("sign-in link for {person}", person=self.person)


class ShownColumns(models.Model):
    """Which columns of a list somebody chose to see; without a row, those shown at first."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="shown_columns"
    )
    list_key = models.CharField(max_length=60, help_text=_("The route of the page with the list."))
    columns = models.JSONField(default=list)

    class Meta:
        verbose_name_plural = _("shown columns")
        constraints = [
            models.UniqueConstraint(
                fields=["person", "list_key"],
                name="showncolumns_once",
                violation_error_message=_(
                    "The columns of this list are chosen already; change that choice."
                ),
            )
        ]

    def __str__(self) -> str:
        return tell("columns of {list} for {person}", list=self.list_key, person=self.person)


class Act(models.Model):
    """What a person wrote in one go: the one-time token of the form, and what it led to.

    Every change that belongs to it carries its key in the history, so that all of it is undone
    together; undoing is an act as well, and can be undone.
    """

    key = models.CharField(max_length=60, unique=True, help_text=_("The token of the form."))
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="acts"
    )
    at = models.DateTimeField(db_index=True)
    door = models.CharField(max_length=300, help_text=_("The address that the form was sent to."))
    said = models.CharField(max_length=600, blank=True)
    said_in = models.JSONField(
        default=dict, blank=True, help_text=_("The same by language; as `said` where it is not.")
    )
    leads_to = models.CharField(max_length=300, blank=True)
    change_at = models.CharField(max_length=300, blank=True, help_text=_("Where it is changed."))
    is_undoable = models.BooleanField(default=False)
    is_put_away = models.BooleanField(default=False)
    undoes = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="undone_by"
    )

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.words or tell("what was sent to {address}", address=self.door)

    @property
    def words(self) -> str:
        """What was written, in the language of whoever reads it."""
        return str(self.said_in.get(get_language() or "", self.said))

    @property
    def is_undoing(self) -> bool:
        """Whether it took something back; undoing that again writes it anew."""
        return self.undoes is not None and not self.undoes.is_undoing

    @property
    def at_first(self) -> "Act":
        """The act that was undone, and perhaps written again, and so on; itself when none was."""
        return self if self.undoes is None else self.undoes.at_first

    @property
    def short_words(self) -> str:
        """What was done, without what followed from it then: its first sentence."""
        said = str(self).removeprefix(f"{tell('Written:')} ")
        return said.partition(". ")[0].rstrip(".") + "."


class KeptForm(models.Model):
    """A form that arrived and could not be written: kept for who typed it, until it is sent."""

    key = models.CharField(max_length=60, unique=True, help_text=_("The token of the form."))
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="kept_forms"
    )
    address = models.CharField(max_length=2000, help_text=_("Where the form was sent to."))
    fields = models.JSONField(default=list, help_text=_("Names and values, in their order."))
    files = models.JSONField(default=list, help_text=_("Field, name, kind and place of each."))
    kept_at = models.DateTimeField()

    class Meta:
        ordering = ["-kept_at", "-pk"]

    def __str__(self) -> str:
        return tell("what {person} sent to {address}", person=self.person, address=self.address)


class Recorded(models.Model):
    """Who wrote a record, and when."""

    recorded_at = models.DateTimeField(auto_now_add=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )

    class Meta:
        abstract = True


class Withdrawable(Recorded):
    """A record that can be withdrawn with a reason; it stays readable and counts no more."""

    withdrawn_at = models.DateTimeField(null=True, editable=False)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        editable=False,
        related_name="+",
    )
    withdrawn_reason = models.CharField(max_length=200, blank=True, editable=False)

    # The field that names the record this is a part of: it is withdrawn and comes back with it.
    part_of: ClassVar[str] = ""

    class Meta:
        abstract = True

    @property
    def is_withdrawn(self) -> bool:
        return self.withdrawn_at is not None

    @property
    def why_withdrawn(self) -> str:
        """The reason for whoever reads it; what somebody typed is as it was typed."""
        return read_stored(self.withdrawn_reason)


Counting = TypeVar("Counting", bound=Withdrawable)


class CountingRecords(models.Manager[Counting]):
    """Records that count; one that is withdrawn stays readable through `every`."""

    def get_queryset(self) -> models.QuerySet[Counting]:
        return super().get_queryset().filter(withdrawn_at__isnull=True)


def new_revision() -> str:
    return uuid.uuid4().hex
