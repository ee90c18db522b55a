"""Rounds of feeding: one row a round, of a tank or of some animals."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.feeding.models import Feeding, Meal
from breeding.feeding.services import feed, food_named
from breeding.housing.queries import stays_over
from breeding.records.incoming.kinds.kind import (
    NOTE,
    Facts,
    Keeping,
    Kind,
    moment_words,
    until_now,
    words,
)
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many


def _keep(facts: Facts, keeping: Keeping) -> Any:
    tank, at = facts["tank"], until_now(facts["fed_at"], keeping)
    keeping.ask_when(
        Feeding.objects.filter(
            tank=tank, fed_at=at, food__name__iexact=words(facts, "food"), withdrawn_at__isnull=True
        ).exists(),
        tell(
            "This round at {moment} is on record already; this writes a second one.",
            moment=moment_words(at),
        ),
        "fed_at",
    )
    took = facts["took"] or Meal.Took.ALL
    food = words(facts, "food")
    return feed(
        dict.fromkeys(_fed(facts), took),
        food=food_named(food, by=keeping.by) if food else None,
        fed_at=at,
        now=keeping.now,
        by=keeping.by,
        tank=tank,
        amount_g=facts["amount"],
        note=words(facts, "note"),
        sure=keeping.sure,
    )


def _fed(facts: Facts) -> list[Animal]:
    """The animals of the row, or all that were in the tank on that day on record."""
    if facts["animals"]:
        return list(facts["animals"])
    tank, on = facts["tank"], timezone.localtime(facts["fed_at"]).date()
    if tank is None:
        raise ValidationError({"tank": tell("Which tank was fed, or which animals?")})
    found = [stay.animal for stay in stays_over(on).filter(tank=tank).select_related("animal")]
    if not found:
        raise ValidationError(
            {
                "tank": tell(
                    "Nobody was in {tank} on {day} by the records; name the animals.",
                    tank=tank,
                    day=long_day(on),
                )
            }
        )
    return found


FEEDINGS = Kind(
    "feedings",
    _("round of feeding"),
    _("rounds of feeding"),
    lambda number: tell_many("{number} round of feeding", "{number} rounds of feeding", number),
    (
        Meaning(
            "fed_at",
            _("Fed on"),
            ("fed", "fed on", "fed at", "date", "day", "when", "on", "datum", "gefüttert"),
            _("a date, with the time or without: then noon"),
            "moment",
            is_needed=True,
        ),
        Meaning(
            "tank",
            _("Tank"),
            ("tank", "tank name", "where", "aquarium", "vat", "pond", "becken"),
            _("its name; all that were in it on that day"),
            "tank",
        ),
        Meaning(
            "animals",
            _("Animals"),
            ("animal", "animals", "code", "id", "name", "ray", "who", "tier"),
            _("codes or names, in place of a whole tank"),
            "animals",
        ),
        Meaning(
            "food",
            _("Food"),
            ("food", "feed", "given", "what", "diet", "futter"),
            _("what was given"),
            "text",
            is_needed=True,
        ),
        Meaning(
            "amount",
            _("How much"),
            ("grams", "g", "amount", "how much", "quantity", "food weight", "menge"),
            _("in grams, or with its unit"),
            "grams",
        ),
        Meaning(
            "took",
            _("Eaten"),
            ("took", "eaten", "ate", "taken", "accepted", "gefressen"),
            _("ate, little, refused, or nobody saw"),
            "took",
        ),
        NOTE,
    ),
    _keep,
    lambda facts: facts["fed_at"],
    takes=(
        *("feeding.Feeding.fed_at", "feeding.Feeding.tank", "feeding.Feeding.food"),
        *("feeding.Feeding.amount_g", "feeding.Feeding.note", "feeding.Food.name"),
        *(
            "feeding.Meal.animal",
            "feeding.Meal.took",
            "feeding.Meal.feeding",
            "feeding.Meal.fed_at",
        ),
    ),
)
