"""What one row of a table becomes by the acts of the pages, one row after the other."""

import datetime
from collections.abc import Callable, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone

from breeding.agenda.models import Reminder
from breeding.agenda.own.acts import set_reminder
from breeding.animals.growth.weights import weighed_before
from breeding.animals.models import Animal, Measurement, Strain
from breeding.animals.services import add_measurement, change_state
from breeding.animals.species.strains import add_strain
from breeding.arrivals.loans.acts import lend, take_in
from breeding.arrivals.loans.earlier import record_earlier_loans
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.arrivals.services import write_how_it_came
from breeding.buyers.models import Contact
from breeding.buyers.services import add_contact
from breeding.feeding.models import Feeding, Meal
from breeding.feeding.services import feed, food_named
from breeding.health.apart.services import keep_apart, record_quarantines
from breeding.health.dying.services import ToldDeath, tell_death
from breeding.health.illness.observing import observe
from breeding.health.illness.treating import Prescribed, treat
from breeding.health.models import Death, Observation, Quarantine, Treatment
from breeding.housing.models import Stay, WaterChange, WaterTest
from breeding.housing.queries import stays_over
from breeding.housing.services import move_animal
from breeding.housing.stays.corrections import record_earlier_stay
from breeding.housing.water.services import record_water_test
from breeding.housing.work.changes import record_changes
from breeding.pairings.models import Pairing, Sighting
from breeding.pairings.services import log_sighting, open_pairing
from breeding.program.problems.doubts import Doubt, ask
from breeding.program.problems.several import settled
from breeding.records.incoming.kinds.kept import ByItself, Facts, KeepAll, Kept
from breeding.records.incoming.kinds.kind import Keeping, moment_words, until_now
from breeding.records.incoming.kinds.seasons.litters import keep_birth
from breeding.traits.models import TraitLook
from breeding.traits.services import write_look
from breeding.words.days import long_day
from breeding.words.numbers import joined


def one_by_one(keep: Callable[[Facts, Keeping], Any]) -> KeepAll:
    """Each row by an act of its own, tried until nothing more is asked of it."""

    def keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
        alone = ByItself(keep, len(rows))
        with weighed_before():
            return [alone(facts, keeping) for facts in rows]

    return keep_all


def ask_when(keeping: Any, doubtful: bool, sentence: str, field: str = "") -> None:
    """Ask about a row that can be, and hardly is. Raises DoubtError."""
    if doubtful:
        ask([Doubt(sentence, field)], keeping.sure)


def measurement(facts: Any, keeping: Any) -> Measurement:
    one, on = facts["animal"], facts["on"]
    figures = {
        "disc_width_mm": facts["disc_width"],
        "weight_g": facts["weight"],
        "back_height_mm": facts["back_height"],
        "girth_mm": facts["girth"],
        "condition": facts["condition"],
    }
    ask_when(
        keeping,
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
    ask_when(
        keeping,
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
    ask_when(
        keeping,
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
    ask_when(
        keeping,
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
    ask_when(
        keeping,
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
    ask_when(
        keeping,
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
    since, until, reason = facts["since"], facts["until"], facts["reason"] or ""
    if until is not None:
        return record_earlier_stay(
            one,
            tank,
            since=since,
            until=until,
            by=keeping.by,
            side=side,
            sure=keeping.sure,
            sure_reason=reason,
        )
    return move_animal(
        one, tank, on=since, by=keeping.by, side=side, sure=keeping.sure, reason=reason
    )


def observation(facts: Any, keeping: Any) -> Observation:
    one, said, note = facts["animal"], facts["kind"], facts["note"] or ""
    kind = said if said in Observation.Kind.values else "other"
    ask_when(
        keeping,
        Observation.objects.filter(animal=one, kind=kind, since=facts["since"]).exists(),
        f"{one.full_name}: “{said}” since {long_day(facts['since'])} is on record already; this "
        "writes it down twice.",
        "since",
    )
    if kind == "other":
        note = f"{said}. {note}" if note else said
    return observe(
        one,
        kind,
        since=facts["since"],
        over_on=facts["over_on"],
        today=keeping.today,
        by=keeping.by,
        note=note,
        sure=keeping.sure,
    )


def treatment(facts: Any, keeping: Any) -> Treatment:
    one, tank, since = facts["animal"], facts["tank"], facts["since"]
    if (one is None) == (tank is None):
        raise ValidationError({"animal": "Of which animal or of which tank? One of the two."})
    same = Treatment.objects.filter(animal=one, tank=tank, since=since)
    ask_when(
        keeping,
        same.filter(remedy__iexact=facts["remedy"].strip()).exists(),
        f"{one.full_name if one else tank}: this treatment from {long_day(since)} is on record "
        "already; this writes it down twice.",
        "since",
    )
    given = Prescribed(
        remedy=facts["remedy"],
        since=since,
        until=facts["until"],
        hold_until=facts["hold_until"],
        note=facts["note"] or "",
    )
    return treat(
        one or tank,
        given,
        today=keeping.today,
        by=keeping.by,
        sure=keeping.sure,
        reason="brought in from a table",
    )


def quarantine(facts: Any, keeping: Any) -> Quarantine:
    one, since, days = facts["animal"], facts["since"], facts["least_days"]
    if days == 0:
        raise ValidationError({"least_days": "0 days cannot be; allowed is 1 to 366."})
    if Quarantine.objects.filter(animal=one, since=since).exists():
        words = f"{one.full_name}, in quarantine since {long_day(since)}, is on record already; "
        words += "change that on its page, or leave the row out."
        raise ValidationError({"since": words})
    note = facts["note"] or ""
    if facts["ended_on"] is not None:
        told = {"ended_on": facts["ended_on"], "result": facts["result"] or "", "note": note}
        row = Quarantine(animal=one, since=since, least_days=days, recorded_by=keeping.by, **told)
        [judged] = record_quarantines([row], today=keeping.today)
        return settled(judged, keeping.sure)
    if facts["result"]:
        words = (
            f"It ended as “{Quarantine.Result(facts['result']).label}”; on which day did it end?"
        )
        raise ValidationError({"ended_on": words})
    given = {"least_days": days, "note": note, "today": keeping.today}
    return keep_apart([one], since=since, by=keeping.by, **given)[0]


def arrival(facts: Any, keeping: Any) -> Arrival:
    one, on = facts["animal"], facts["on"]
    known = Arrival.objects.filter(animal=one, on=on).first()
    if known is not None:
        came = f"{long_day(on)}, from {known.contact}" if known.contact else long_day(on)
        words = f"How {one.full_name} came on {came}, is on record already; change that on its "
        raise ValidationError({"on": words + "page, or leave the row out."})
    price, currency = facts["price"] or (None, "")
    return write_how_it_came(
        one,
        by=keeping.by,
        today=keeping.today,
        contact=facts["contact"],
        sure=keeping.sure,
        on=on,
        price=price,
        currency=currency,
        papers="",
        pregnant=facts["pregnant"] or "",
        note=facts["note"] or "",
    )


def loan(facts: Any, keeping: Any) -> LoanAgreement:
    one, since, direction = facts["animal"], facts["since"], facts["direction"]
    one.refresh_from_db()
    known = LoanAgreement.objects.filter(animal=one, direction=direction, since=since).first()
    if known is not None:
        words = f"{one.full_name}, {known.get_direction_display()} on {long_day(since)}, is on "
        words += "record already; change that on its page, or leave the row out."
        raise ValidationError({"since": words})
    terms = {
        "due_back_on": facts["due_back_on"],
        "terms": facts["terms"] or "",
        "young_owed": facts["young_owed"],
        "young_given": 0,
    }
    given: dict[str, Any] = {"since": since, "by": keeping.by, "today": keeping.today, **terms}
    if facts["back_on"] is not None:
        earlier = LoanAgreement(
            animal=one,
            contact=facts["contact"],
            direction=direction,
            since=since,
            back_on=facts["back_on"],
            recorded_by=keeping.by,
            **terms,
        )
        [judged] = record_earlier_loans([earlier], today=keeping.today)
        return settled(judged, keeping.sure)
    if direction == "in":
        return take_in(one, facts["contact"], **given)
    if one.state == "on_loan" and one.state_on not in (None, since):
        words = f"{one.full_name} is on loan since {long_day(one.state_on)} by its own record, not "
        words += f"since {long_day(since)}; is this an earlier loan without its end?"
        raise ValidationError({"since": words})
    reason = "brought in from a table"
    return lend(one, facts["contact"], sure=keeping.sure, reason=reason, **given)


def death(facts: Any, keeping: Any) -> Death:
    """Of one that died by its own record, or dies with the row."""
    one, on = Animal.every.get(pk=facts["animal"].pk), facts["on"]
    known = Death.objects.filter(animal=one).first()
    if known is not None:
        words = f"How {one.full_name} died ({known.cause_words}) is on record already; change that "
        raise ValidationError({"animal": words + "on its page, or leave the row out."})
    if one.state != "died" and on is None:
        words = f"{one.full_name} is on record as “{one.get_state_display()}”; on which day did it "
        raise ValidationError({"on": words + "die?"})
    if one.state == "died" and on is not None and on != one.state_on:
        words = f"{one.full_name} died on {long_day(one.state_on)} by its own record, not on "
        raise ValidationError({"on": f"{words}{long_day(on)}."})
    if one.state == "left":
        ask_when(
            keeping,
            True,
            f"{one.full_name} left on {long_day(one.state_on)} by its own record; it would stand "
            f"as one that died here on {long_day(on)}.",
            "on",
        )
    if one.state != "died":
        reason = "brought in from a table"
        change_state(one, state="died", on=on, sure=keeping.sure, reason=reason, by=keeping.by)
    told = ToldDeath(
        cause=facts["cause"],
        is_by_laboratory=facts["is_by_laboratory"] == "yes",
        ill_since=facts["ill_since"],
        circumstances=facts["circumstances"] or "",
    )
    return tell_death(one, told, today=keeping.today, by=keeping.by)


def reminder(facts: Any, keeping: Any) -> Reminder:
    text, on, every = " ".join(facts["text"].split()), facts["on"], facts["every_days"]
    about = {name: facts[name] for name in ("animal", "tank", "contact")}
    named = [str(one) for one in about.values() if one is not None]
    if every == 0:
        raise ValidationError({"every_days": "0 days cannot be; allowed is 1 to 1000."})
    if len(named) > 1:
        words = f"It is about {joined(named)}; a reminder is about one of them, or none."
        raise ValidationError(words)
    ask_when(
        keeping,
        Reminder.objects.filter(text__iexact=text, on=on, **about).exists(),
        f"“{text}” for {long_day(on)} is on record already; this sets it twice.",
        "on",
    )
    return set_reminder(
        by=keeping.by, today=keeping.today, text=text, on=on, every_days=every, **about
    )


def strain(facts: Any, keeping: Any) -> Strain:
    name, described = " ".join(facts["name"].split()), facts["description"] or ""
    return add_strain(by=keeping.by, name=name, species=facts["species"], description=described)


def pairing(facts: Any, keeping: Any) -> Pairing:
    return open_pairing(
        female=facts["female"],
        male=facts["male"],
        introduced_on=facts["introduced_on"],
        separated_on=facts["separated_on"],
        reason=facts["reason"] or "",
        note=facts["note"] or "",
        program=keeping.program,
        by=keeping.by,
        today=keeping.today,
        sure=keeping.sure,
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
    "observations": observation,
    "treatments": treatment,
    "quarantines": quarantine,
    "arrivals": arrival,
    "loans": loan,
    "deaths": death,
    "reminders": reminder,
    "strains": strain,
    "litters": keep_birth,
    "pairings": pairing,
}
