"""Rounds of feeding: one row a round, of a tank or of some animals."""

from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.feeding.models import Feeding, Meal
from breeding.feeding.services import feed, food_named
from breeding.housing.queries import stays_over
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, until_now, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day


def _keep(facts: Facts, keeping: Keeping) -> Any:
    tank, at = facts["tank"], until_now(facts["fed_at"], keeping)
    keeping.ask_when(
        Feeding.objects.filter(
            tank=tank, fed_at=at, food__name__iexact=words(facts, "food"), withdrawn_at__isnull=True
        ).exists(),
        f"This round at {timezone.localtime(at):%Y-%m-%d %H:%M} is on record already; this writes "
        "a second one.",
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
        raise ValidationError({"tank": "Which tank was fed, or which animals?"})
    found = [stay.animal for stay in stays_over(on).filter(tank=tank).select_related("animal")]
    if not found:
        raise ValidationError(
            {"tank": f"Nobody was in {tank} on {long_day(on)} by the records; name the animals."}
        )
    return found


FEEDINGS = Kind(
    "feedings",
    "round of feeding",
    "rounds of feeding",
    (
        Meaning(
            "fed_at",
            "Fed on",
            ("fed", "fed on", "fed at", "date", "day", "when", "on", "datum", "gefüttert"),
            "a date, with the time or without: then noon",
            "moment",
            is_needed=True,
        ),
        Meaning(
            "tank",
            "Tank",
            ("tank", "tank name", "where", "aquarium", "vat", "pond", "becken"),
            "its name; all that were in it on that day",
            "tank",
        ),
        Meaning(
            "animals",
            "Animals",
            ("animal", "animals", "code", "id", "name", "ray", "who", "tier"),
            "codes or names, in place of a whole tank",
            "animals",
        ),
        Meaning(
            "food",
            "Food",
            ("food", "feed", "given", "what", "diet", "futter"),
            "what was given",
            "text",
            is_needed=True,
        ),
        Meaning(
            "amount",
            "How much",
            ("grams", "g", "amount", "how much", "quantity", "food weight", "menge"),
            "in grams, or with its unit",
            "grams",
        ),
        Meaning(
            "took",
            "Eaten",
            ("took", "eaten", "ate", "taken", "accepted", "gefressen"),
            "ate, little, refused, or nobody saw",
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
