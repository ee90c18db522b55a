"""What one row of a table becomes by the acts of the pages, one row after the other."""

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone

from breeding.animals.models import Measurement
from breeding.animals.services import add_measurement
from breeding.buyers.models import Contact
from breeding.buyers.services import add_contact
from breeding.feeding.models import Feeding, Meal
from breeding.feeding.services import feed, food_named
from breeding.housing.models import Stay, WaterChange, WaterTest
from breeding.housing.queries import stays_over
from breeding.housing.services import move_animal
from breeding.housing.stays.corrections import record_earlier_stay
from breeding.housing.water.services import record_water_test
from breeding.housing.work.changes import record_changes
from breeding.pairings.models import Sighting
from breeding.pairings.services import log_sighting
from breeding.records.incoming.kinds.kind import moment_words, until_now
from breeding.traits.models import TraitLook
from breeding.traits.services import write_look
from breeding.words.days import long_day


def measurement(facts: Any, keeping: Any) -> Measurement:
    one, on = facts["animal"], facts["on"]
    figures = {
        "disc_width_mm": facts["disc_width"],
        "weight_g": facts["weight"],
        "back_height_mm": facts["back_height"],
        "girth_mm": facts["girth"],
        "condition": facts["condition"],
    }
    keeping.ask_when(
        Measurement.objects.filter(animal=one, on=on, **figures).exists(),
        f"{one.full_name} was measured so on {long_day(on)} on record already; this writes it "
        "down twice.",
        "on",
    )
    note = facts["note"] or ""
    return add_measurement(one, by=keeping.by, on=on, note=note, sure=keeping.sure, **figures)


def sighting(facts: Any, keeping: Any) -> Sighting:
    one, kind, seen_at = facts["animal"], facts["kind"], facts["seen_at"]
    if facts["time"] is None:
        seen_at = until_now(seen_at, keeping)
    else:
        day = timezone.localtime(seen_at).date()
        seen_at = datetime.datetime.combine(day, facts["time"], tzinfo=seen_at.tzinfo)
    same = Sighting.objects.filter(female=one, kind=kind, seen_at=seen_at, withdrawn_at=None)
    keeping.ask_when(
        same.exists(),
        f"“{kind}” of {one.full_name} at {moment_words(seen_at)} is on record already; this "
        "writes it down twice.",
        "seen_at",
    )
    return log_sighting(
        female=one,
        kind=kind,
        seen_at=seen_at,
        now=keeping.now,
        by=keeping.by,
        male=facts["male"],
        severity=facts["severity"],
        note=facts["note"] or "",
    )


def feeding(facts: Any, keeping: Any) -> Feeding:
    tank, at, food = facts["tank"], until_now(facts["fed_at"], keeping), facts["food"]
    if not facts["animals"] and tank is None:
        raise ValidationError({"tank": "Which tank was fed, or which animals?"})
    on = timezone.localtime(facts["fed_at"]).date()
    fed = facts["animals"] or [
        stay.animal for stay in stays_over(on).filter(tank=tank).select_related("animal")
    ]
    if not fed:
        words = f"Nobody was in {tank} on {long_day(on)} by the records; name the animals."
        raise ValidationError({"tank": words})
    same = Feeding.objects.filter(
        tank=tank, fed_at=at, food__name__iexact=food, withdrawn_at__isnull=True
    )
    keeping.ask_when(
        same.exists(),
        f"This round at {moment_words(at)} is on record already; this writes a second one.",
        "fed_at",
    )
    return feed(
        dict.fromkeys(fed, facts["took"] or Meal.Took.ALL),
        food=food_named(food, by=keeping.by),
        fed_at=at,
        now=keeping.now,
        by=keeping.by,
        tank=tank,
        amount_g=facts["amount"],
        note=facts["note"] or "",
        sure=keeping.sure,
    )


def water_test(facts: Any, keeping: Any) -> WaterTest:
    tank, at = facts["tank"], until_now(facts["tested_at"], keeping)
    ions = ("ammonia_mg_l", "nitrite_mg_l", "nitrate_mg_l")
    if facts["read_as"] is None and any(facts[one] for one in ions):
        words = "Does the test read ammonia, nitrite and nitrate as the ion, or as N?"
        raise ValidationError({"read_as": words})
    keeping.ask_when(
        WaterTest.objects.filter(tank=tank, tested_at=at, withdrawn_at__isnull=True).exists(),
        f"A test of {tank} at {moment_words(at)} is on record already; this writes a second one.",
        "tested_at",
    )
    read_as = facts["read_as"] or WaterTest.ReadAs.ION
    return record_water_test(
        tank,
        tested_at=at,
        now=keeping.now,
        by=keeping.by,
        note=facts["note"] or "",
        ammonia_as=read_as,
        nitrite_as=read_as,
        nitrate_as=read_as,
        **{name: facts[name] for name in WaterTest.VALUES},
    )


def water_change(facts: Any, keeping: Any) -> WaterChange:
    tank, at = facts["tank"], until_now(facts["changed_at"], keeping)
    keeping.ask_when(
        WaterChange.objects.filter(tank=tank, changed_at=at).exists(),
        f"A water change of {tank} at {moment_words(at)} is on record already; this writes a "
        "second one.",
        "changed_at",
    )
    done = record_changes(
        [tank],
        changed_at=at,
        now=keeping.now,
        by=keeping.by,
        program=keeping.program,
        percent=facts["percent"],
        litres=facts["litres"],
        source=facts["source"],
        note=facts["note"] or "",
        sure=keeping.sure,
    )
    return done.changes[0]


def look(facts: Any, keeping: Any) -> TraitLook:
    one, trait, on = facts["animal"], facts["trait"], facts["on"]
    keeping.ask_when(
        TraitLook.objects.filter(animal=one, trait=trait, on=on, what=facts["what"]).exists(),
        f"{one.full_name}, {trait} of {long_day(on)} is on record already; this writes it down "
        "twice.",
        "on",
    )
    return write_look(
        trait,
        one,
        facts["what"],
        on=on,
        today=keeping.today,
        by=keeping.by,
        looked_by=facts["looked_by"] or "",
        sure_percent=100 if facts["sure_percent"] is None else facts["sure_percent"],
        note=facts["note"] or "",
    )


def person(facts: Any, keeping: Any) -> Contact:
    said = [facts[one] for one in ("reach", "mail", "telephone", "address") if facts[one]]
    name, wish = " ".join(facts["name"].split()), facts["wish"] or ""
    return add_contact(
        by=keeping.by, name=name, reach=", ".join(said), wish=wish, sure=keeping.sure
    )


def stay(facts: Any, keeping: Any) -> Stay | None:
    one, tank, side = facts["animal"], facts["tank"], facts["side"] or ""
    since, until = facts["since"], facts["until"]
    if until is not None:
        return record_earlier_stay(one, tank, since=since, until=until, by=keeping.by, side=side)
    reason = facts["reason"] or ""
    return move_animal(
        one, tank, on=since, by=keeping.by, side=side, sure=keeping.sure, reason=reason
    )


ONE_ROW = {
    "measurements": measurement,
    "sightings": sighting,
    "feedings": feeding,
    "water": water_test,
    "changes": water_change,
    "traits": look,
    "people": person,
    "stays": stay,
}
