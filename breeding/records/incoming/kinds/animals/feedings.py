"""Rounds of feeding: one row a round, of a tank or of some animals."""

import datetime
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.feeding.models import Feeding, Food, Meal
from breeding.feeding.services import feed_all, food_named
from breeding.housing.models import Stay
from breeding.housing.queries import were_inside
from breeding.records.incoming.kinds.kept import Again, Kept, all_together, known_by
from breeding.records.incoming.kinds.kind import (
    NOTE,
    Facts,
    Keeping,
    Kind,
    moment_words,
    tank,
    until_now,
    words,
)
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    fed, foods = _Fed(rows), _Foods(keeping)

    def make(facts: Facts) -> Feeding:
        took = facts["took"] or Meal.Took.ALL
        feeding = Feeding(
            tank=facts["tank"],
            fed_at=until_now(facts["fed_at"], keeping),
            amount_g=facts["amount"],
            note=words(facts, "note").strip(),
            recorded_by=keeping.by,
        )
        feeding.eaters = dict.fromkeys(fed.by(facts), took)
        feeding.food = foods.named(words(facts, "food"))
        return feeding

    counting = Feeding.objects.filter(withdrawn_at__isnull=True)
    again = Again[Feeding](
        lambda row: (row.tank_id, row.fed_at, row.food.name.lower() if row.food else ""),
        lambda rows: {
            (tank, at, (food or "").lower())
            for tank, at, food in known_by(rows, "tank", "fed_at", "food__name", found=counting)
        },
        _twice_words,
        "fed_at",
    )
    return all_together(
        rows, keeping, make=make, write=lambda made: feed_all(made, now=keeping.now), again=again
    )


def _twice_words(row: Feeding) -> str:
    return tell(
        "This round at {moment} is on record already; this writes a second one.",
        moment=moment_words(row.fed_at),
    )


class _Foods:
    """Foods by their name; one that is not on record is written down, once."""

    def __init__(self, keeping: Keeping) -> None:
        self._by, self._named = keeping.by, dict[str, Food | ValidationError]()

    def named(self, name: str) -> Food | None:
        if not name:
            return None
        if name not in self._named:
            try:
                with transaction.atomic():
                    self._named[name] = food_named(name, by=self._by)
            except ValidationError as problem:
                self._named[name] = problem
        found = self._named[name]
        if isinstance(found, ValidationError):
            raise found
        return found


class _Fed:
    """Who was fed by each row: those it names, or all that were in its tank on that day."""

    def __init__(self, rows: Sequence[Facts]) -> None:
        self._stays: dict[int, list[Stay]] = {}
        self._found: dict[tuple[int, datetime.date], list[Animal]] = {}
        asked = [one for one in rows if one["tank"] and not one["animals"]]
        days = [timezone.localtime(one["fed_at"]).date() for one in asked]
        stays = Stay.objects.filter(tank__in={one["tank"] for one in asked})
        if days:
            stays = stays.filter(since__lte=max(days)).exclude(until__lt=min(days))
        animals: dict[int, Animal] = {}
        for stay in stays.select_related("animal"):
            stay.animal = animals.setdefault(stay.animal_id, stay.animal)
            self._stays.setdefault(stay.tank_id, []).append(stay)

    def by(self, facts: Facts) -> list[Animal]:
        if facts["animals"]:
            return list(facts["animals"])
        tank, on = facts["tank"], timezone.localtime(facts["fed_at"]).date()
        if tank is None:
            raise ValidationError({"tank": tell("Which tank was fed, or which animals?")})
        if (tank.pk, on) not in self._found:
            inside = were_inside(self._stays.get(tank.pk, ()), on)
            self._found[tank.pk, on] = [stay.animal for stay in inside]
        if found := self._found[tank.pk, on]:
            return found
        raise ValidationError(
            {
                "tank": tell(
                    "Nobody was in {tank} on {day} by the records; name the animals.",
                    tank=tank,
                    day=long_day(on),
                )
            }
        )


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
        tank(how=_("its name; all that were in it on that day"), is_needed=False),
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
    _keep_all,
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
