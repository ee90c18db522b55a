"""Foods, rounds of feeding, and what each animal made of them."""

from collections.abc import Mapping
from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.program.fields import NameField
from breeding.program.models import CountingRecords, Withdrawable
from breeding.words.language import label_of, tell


class Food(Withdrawable):
    """A food that this program gives: its own list; those withdrawn are in `every`."""

    name = NameField(max_length=60)
    note = models.CharField(max_length=200, blank=True)

    objects = CountingRecords["Food"]()
    every: models.Manager["Food"] = models.Manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["name"],
                condition=Q(withdrawn_at__isnull=True),
                name="food_name_once",
                violation_error_message=_("Another food is called so; choose another name."),
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return f"{reverse('feeding:foods')}#food-{self.pk}"


class Feeding(Withdrawable):
    """One round: a food that was offered to some animals at one time.

    tank: the tank whose animals were fed, where it was a whole tank. amount_g: what all of them
    were offered together. What each made of it is in `meals`.
    """

    grows_daily = True
    told_when_changed = ("fed_at",)

    answered: set[str] | None = None  # what was asked of it before it was changed; not kept
    eaters: Mapping[Animal, str]  # who is fed and what each makes of it, before that is written

    food = models.ForeignKey(
        Food,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="feedings",
    )
    fed_at = models.DateTimeField(db_index=True)
    tank = models.ForeignKey(
        Tank,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="feedings",
    )
    amount_g = models.DecimalField(
        max_digits=8,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100000)],
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-fed_at", "-pk"]
        indexes = [
            models.Index(fields=["tank", "-fed_at"], name="feeding_of_tank"),
            models.Index(fields=["-fed_at", "-id"], name="feeding_latest_first"),
        ]

    def __str__(self) -> str:
        food = self.food or tell("food")
        return tell("{food} on {day}", food=food, day=timezone.localdate(self.fed_at))

    def get_absolute_url(self) -> str:
        return reverse("feeding:detail", args=[self.pk])


class Meal(models.Model):
    """What one animal made of one round.

    fed_at: when the round was, kept here too, so that an animal's latest meal is found by an
    index among ten years of them; `feeding/services.py` writes both.
    """

    part_of = "feeding"
    grows_daily = True
    told_when_changed = ("animal", "fed_at")

    class Took(models.TextChoices):
        ALL = "all", _("ate")
        LITTLE = "little", _("ate little")
        NONE = "none", _("refused")
        UNSEEN = "unseen", _("nobody saw")

    feeding = models.ForeignKey(Feeding, on_delete=models.CASCADE, related_name="meals")
    animal = models.ForeignKey(Animal, on_delete=models.PROTECT, related_name="meals")
    took = models.CharField(max_length=6, choices=Took.choices, default=Took.ALL)
    fed_at = models.DateTimeField(editable=False)

    class Meta:
        ordering = ["feeding", "pk"]
        indexes = [models.Index(fields=["animal", "took", "-fed_at"], name="meal_of_animal")]
        constraints = [
            models.UniqueConstraint(
                fields=["feeding", "animal"],
                name="meal_once_a_round",
                violation_error_message=_("This animal is in that round already; change it there."),
            )
        ]

    def __str__(self) -> str:
        return f"{self.animal} {label_of(self.Took, self.took)}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.fed_at is None:
            self.fed_at = self.feeding.fed_at
        super().save(*args, **kwargs)
