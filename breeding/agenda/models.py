"""Answers to lines of the day, and how its lines reach each person. The lines are computed."""

import datetime
import uuid

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.agenda.own.due import due_on
from breeding.animals.models import Animal
from breeding.buyers.models import Contact
from breeding.housing.models import Tank
from breeding.program.fields import NameField
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.days import long_day


class Answer(Withdrawable):
    """An answer to one line of the day, found again by the line's key; the last one counts."""

    key = models.CharField(max_length=120, db_index=True)
    put_off_until = models.DateField(null=True, blank=True, help_text=_("Empty: it is done."))
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-recorded_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.key}: {'put off' if self.put_off_until else 'done'}"


class Feed(models.Model):
    """One person's private calendar address. Only a hash of its secret part is kept.

    The secret is made from `nonce` and the program's own key, which lies outside the database:
    the page can show the address again, and a copy of the database alone opens no calendar.
    """

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="feed"
    )
    nonce = models.CharField(max_length=43, editable=False)
    token_hash = models.CharField(max_length=64, unique=True, editable=False)
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    asked_at = models.DateTimeField(null=True, help_text=_("When a calendar last asked for it."))

    def __str__(self) -> str:
        return f"calendar of {self.person}{', closed' if self.closed_at else ''}"


class FeedEvent(models.Model):
    """A calendar event as it was last told, so that a change can be told as a change.

    No fact: what was published when. Once it no longer stands it is told as cancelled for a while.
    """

    series = models.CharField(
        max_length=120,
        unique=True,
        help_text=_("Kind, and female and season or what else it is of."),
    )
    uid = models.UUIDField(
        default=uuid.uuid4,
        unique=True,
        editable=False,
        help_text=_("By chance: two programs in one calendar never take each other's events."),
    )
    kind = models.CharField(max_length=40)
    starts_on = models.DateField()
    ends_on = models.DateField(help_text=_("The last day, counted."))
    summary = models.CharField(max_length=300)
    words = models.TextField()
    path = models.CharField(max_length=200, blank=True)
    sequence = models.PositiveIntegerField(default=0)
    last_modified = models.DateTimeField()
    cancelled_at = models.DateTimeField(null=True, db_index=True)

    class Meta:
        ordering = ["starts_on", "series"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(ends_on__gte=models.F("starts_on")),
                name="feed_event_ends_after_it_starts",
                violation_error_message=_(
                    "An entry of the calendar ends on the day it begins, or later."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.summary} ({self.starts_on})"


class DigestChoice(models.Model):
    """Whether, when and about what somebody wants the morning digest. The address is Person.email.

    What is left out is kept rather than what is wanted: a kind of line that a later release adds
    is told until somebody says no to it.
    """

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="digest_choice"
    )
    is_on = models.BooleanField(default=False)
    hour = models.PositiveSmallIntegerField(default=7)
    left_out = models.JSONField(default=list, blank=True)
    begins_on = models.DateField(help_text=_("The first day on which a digest may be sent."))
    server_address = models.CharField(
        max_length=200, blank=True, help_text=_("Where this person reaches the program, for links.")
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(hour__lte=23),
                name="digest_hour_of_a_day",
                violation_error_message=_("The hour of the digest is from 0 to 23."),
            ),
        ]

    def __str__(self) -> str:
        return f"digest for {self.person}: {f'{self.hour}:00' if self.is_on else 'off'}"


class Mailing(models.Model):
    """One person's digest of one day on its way: the row comes first, then the mail (outbox.py)."""

    class State(models.TextChoices):
        WAITING = "waiting", _("waiting to be sent")
        CLAIMED = "claimed", _("being made ready")
        HANDING_OVER = "handing_over", _("being handed to the mail server")
        SENT = "sent", _("sent")
        NOTHING = "nothing", _("nothing new to tell")
        OVERTAKEN = "overtaken", _("overtaken by a later one")
        UNSURE = "unsure", _("perhaps sent: the program stopped while handing it over")

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="mailings"
    )
    day = models.DateField(help_text=_("The day in the program's time zone."))
    state = models.CharField(max_length=12, choices=State.choices, default=State.WAITING)
    message_id = models.CharField(max_length=200)
    attempts = models.PositiveIntegerField(default=0)
    next_try_at = models.DateTimeField()
    claimed_at = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    last_error = models.CharField(max_length=300, blank=True)
    told = models.JSONField(
        default=dict, help_text=_("What it told: the key of each line, its urgency and its day.")
    )

    class Meta:
        ordering = ["-day", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "day"],
                name="one_digest_a_person_and_day",
                violation_error_message=_(
                    "The digest of this day is on its way to this person already."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"digest of {self.day} for {self.person}: {self.get_state_display()}"


class Reminder(Withdrawable):
    """One's own reminder for a day, of an animal, a tank, a person, or none of them."""

    text = NameField(max_length=120)
    on = models.DateField(db_index=True)
    every_days = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(1000)]
    )
    animal = models.ForeignKey(
        Animal, on_delete=models.PROTECT, null=True, blank=True, related_name="reminders"
    )
    tank = models.ForeignKey(
        Tank, on_delete=models.PROTECT, null=True, blank=True, related_name="reminders"
    )
    contact = models.ForeignKey(
        Contact, on_delete=models.PROTECT, null=True, blank=True, related_name="reminders"
    )
    done_on = models.DateField(null=True, blank=True)

    objects = CountingRecords["Reminder"]()
    every: models.Manager["Reminder"] = models.Manager()

    class Meta:
        ordering = ["on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(animal__isnull=True, tank__isnull=True)
                | models.Q(animal__isnull=True, contact__isnull=True)
                | models.Q(tank__isnull=True, contact__isnull=True),
                name="reminder_about_one",
                violation_error_message=_(
                    "A reminder is about one animal, one tank or one contact, or none of them."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.text} on {long_day(self.on)}"

    def get_absolute_url(self) -> str:
        return reverse("program:change", args=["reminder", self.pk])

    @property
    def due_on(self) -> datetime.date | None:
        """The day on which it asks next, or None when it is done for good."""
        return due_on(self.on, self.every_days, self.done_on)
