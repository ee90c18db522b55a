"""Ancestry taken from other programs, by which names its animals are known there, and keys."""

import base64
import json

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal, Measurement
from breeding.program.fields import NameField
from breeding.program.models import CountingRecords, Withdrawable
from breeding.sheets.sealing.key_words import DISOWNED, SUCCEEDS, KeyWord, read_key_word
from breeding.sheets.sealing.seal import fingerprint
from breeding.words.days import plain_day
from breeding.words.language import tell


class TakenAncestry(Withdrawable):
    """A signed file as it was taken; it is kept whole, and can be withdrawn as a whole.

    key: of the program that signed it, 64 hexadecimal figures. digest: SHA-256 of what was signed.
    """

    file_base64 = models.TextField()
    digest = models.CharField(max_length=64)
    key = models.CharField(max_length=64)
    issuer = models.CharField(max_length=60, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["TakenAncestry"]()
    every: models.Manager["TakenAncestry"] = models.Manager()

    class Meta:
        verbose_name = _("ancestry taken")
        verbose_name_plural = _("ancestries taken")
        ordering = ["-recorded_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["digest"],
                condition=Q(withdrawn_at__isnull=True),
                name="taken_ancestry_once",
                violation_error_message=_("This file was taken already."),
            )
        ]

    def __str__(self) -> str:
        return tell("the ancestry from {issuer}", issuer=self.issuer or self.key[:8])

    def get_absolute_url(self) -> str:
        return reverse("exchange:taken", args=[self.pk])

    @property
    def content(self) -> bytes:
        """The file, byte for byte."""
        return base64.b64decode(self.file_base64)


class KnownAs(models.Model):
    """By which identity an animal is known in the program that named it first."""

    part_of = "taken"

    taken = models.ForeignKey(TakenAncestry, on_delete=models.CASCADE, related_name="names")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="+")
    identity = models.CharField(max_length=130)
    is_new = models.BooleanField()

    class Meta:
        verbose_name = _("name in another program")
        verbose_name_plural = _("names in other programs")
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["taken", "identity"],
                name="known_as_once_a_file",
                violation_error_message=_("This animal stands in that file already."),
            )
        ]

    def __str__(self) -> str:
        return self.identity


class CameWith(models.Model):
    """What of one's own animals a file has written down: it goes when the file is withdrawn.

    A measurement; or, without one, that the animal died, with what was on record of it before.
    """

    part_of = "taken"

    taken = models.ForeignKey(TakenAncestry, on_delete=models.CASCADE, related_name="updates")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="+")
    measurement = models.OneToOneField(
        Measurement, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    state_before = models.CharField(max_length=10, choices=Animal.State.choices, blank=True)
    state_before_on = models.DateField(null=True, blank=True)

    class Meta:
        verbose_name = _("update from another program")
        verbose_name_plural = _("updates from other programs")
        ordering = ["pk"]

    def __str__(self) -> str:
        if self.measurement is not None:
            return str(self.measurement)
        return tell("death of {animal}", animal=self.animal)


class HeldKeyWord(Withdrawable):
    """What a program has signed about its keys, this one's own or one that was heard.

    digest: SHA-256 of what was signed. is_own: said by this program of its own keys.
    """

    content = models.TextField()
    digest = models.CharField(max_length=64)
    is_own = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["HeldKeyWord"]()
    every: models.Manager["HeldKeyWord"] = models.Manager()

    class Meta:
        verbose_name = _("word about a key")
        verbose_name_plural = _("words about keys")
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["digest"],
                condition=Q(withdrawn_at__isnull=True),
                name="key_word_held_once",
                violation_error_message=_("This is on record already."),
            )
        ]

    def __str__(self) -> str:
        word = self.word
        key, other = fingerprint(word.key)[:9], fingerprint(word.by)[:9]
        if word.says == SUCCEEDS:
            return tell("the key {other} … takes the place of {key} …", key=key, other=other)
        if word.says == DISOWNED:
            return tell("the key {key} … is disowned", key=key)
        return tell("the key {other} … stands for {key} …, which is lost", key=key, other=other)

    @property
    def word(self) -> KeyWord:
        """What was said; its signatures hold."""
        return read_key_word(json.loads(self.content))


class KnownKey(Withdrawable):
    """A fingerprint that somebody told in another way than by a file, and whose it is.

    instead_of: the fingerprint that it stands for now, where that key is lost.
    """

    fingerprint = models.CharField(max_length=39)
    called = NameField(max_length=60)
    how = models.CharField(max_length=100)
    told_on = models.DateField()
    instead_of = models.CharField(max_length=39, blank=True)
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["KnownKey"]()
    every: models.Manager["KnownKey"] = models.Manager()

    class Meta:
        verbose_name = _("key known")
        verbose_name_plural = _("keys known")
        ordering = ["called", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["fingerprint"],
                condition=Q(withdrawn_at__isnull=True),
                name="known_key_once",
                violation_error_message=_("This fingerprint is on record already."),
            ),
            models.CheckConstraint(
                condition=~Q(fingerprint=models.F("instead_of")),
                name="known_key_not_instead_of_itself",
                violation_error_message=_("A key cannot take its own place."),
            ),
        ]

    def __str__(self) -> str:
        return tell("the key of {called}", called=self.called)

    @property
    def words(self) -> str:
        """Whose it is, and how that is known."""
        return tell(
            "of {called}, told on {day}: {how}",
            called=self.called,
            day=plain_day(self.told_on),
            how=self.how,
        )


class SaidOne(Withdrawable):
    """Two animals on record are one, as a keeper says: `gone` was written down twice.

    moved: what was put right because of it, to be put back when it is taken back.
    """

    kept = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="said_one")
    gone = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=200)
    moved = models.JSONField(default=dict, editable=False)

    objects = CountingRecords["SaidOne"]()
    every: models.Manager["SaidOne"] = models.Manager()

    class Meta:
        verbose_name = _("two that are one")
        verbose_name_plural = _("twos that are one")
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["gone"],
                condition=Q(withdrawn_at__isnull=True),
                name="said_one_once",
                violation_error_message=_("This animal was said to be another one already."),
            ),
            models.CheckConstraint(
                condition=~Q(kept=models.F("gone")),
                name="said_one_of_two",
                violation_error_message=_("These are not two animals."),
            ),
        ]

    def __str__(self) -> str:
        return tell("{kept} and {gone} are one", kept=self.kept.name, gone=self.gone.name)
