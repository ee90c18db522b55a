"""Rows brought in together become what the acts of the pages make of them one after the other."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Sequence
from copy import deepcopy
from decimal import Decimal
from typing import Any

import pytest
from auditlog.context import set_actor
from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db import models, transaction
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from breeding.agenda.models import Reminder
from breeding.animals.away.lent import Loan
from breeding.animals.models import Animal, Measurement, PossibleSire, SpeciesShare, Strain
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.buyers.models import Contact
from breeding.buyers.services import add_contact
from breeding.feeding.models import Feeding, Meal
from breeding.health.illness.observing import observe
from breeding.health.illness.treating import Prescribed, treat
from breeding.health.models import Death, Observation, Quarantine, Treatment
from breeding.housing.models import Stay, Tank, WaterChange, WaterSource, WaterTest
from breeding.housing.stays.placing import place
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome, Pairing, Scan, Sighting, SignKind
from breeding.program.acts.once import belonging_to
from breeding.program.frame.memory import for_one_request
from breeding.program.models import Act
from breeding.program.problems.doubts import Doubt
from breeding.program.services import withdraw
from breeding.records.incoming.kinds.kept import Kept
from breeding.records.incoming.kinds.kind import Keeping
from breeding.records.incoming.kinds.table import KINDS
from breeding.traits.models import TraitLook
from breeding.traits.services import add_trait
from tests import cast
from tests.cast import day
from tests.records.one_row import ONE_ROW, one_by_one
from tests.tries import of_few_rows

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 6, 20, 15, 0, tzinfo=datetime.UTC)
TODAY = NOW.date()
WRITES = {
    "measurements": (Measurement,),
    "sightings": (Sighting,),
    "feedings": (Feeding, Meal),
    "water": (WaterTest,),
    "changes": (WaterChange,),
    "traits": (TraitLook,),
    "people": (Contact,),
    "stays": (Stay,),
    "observations": (Observation,),
    "treatments": (Treatment,),
    "quarantines": (Quarantine,),
    "arrivals": (Arrival, Scan),
    "loans": (LoanAgreement, Loan, Animal),
    "deaths": (Death, Animal),
    "reminders": (Reminder,),
    "strains": (Strain,),
    "pairings": (Pairing,),
    "litters": (Outcome, Litter, Pup, Animal, Stay, Measurement, SpeciesShare, PossibleSire, Loan),
}
DAYS = st.sampled_from([day(f"2026-0{n}-1{n}") for n in (1, 2, 3, 4, 5)] + [day("2026-06-20")])
MOMENTS = st.builds(
    lambda on, hour: datetime.datetime.combine(on, datetime.time(hour), datetime.UTC),
    DAYS,
    st.sampled_from([9, 12]),
) | st.just(NOW + datetime.timedelta(days=2))
NOTES = st.sampled_from([None, " thin ", "x" * 500])


def maybe(*values: Any) -> Any:
    return st.sampled_from([None, *values])


@pytest.fixture
def house(owner) -> dict[str, Any]:
    """Two females, a male, one that died and one that left; so many weighed that these count."""
    mira = cast.female("Mira", born_on=day("2024-03-01"))
    vega = cast.female("Vega", born_on=day("2026-03-01"))
    deneb = cast.male("Deneb")
    dead = cast.female("Lyra", state="died", state_on=day("2026-03-20"))
    gone = cast.male("Rigel", state="left", state_on=day("2026-04-01"))
    for n in range(12):
        one = cast.ray(f"Weighed {n}", "M")
        Measurement.objects.bulk_create(
            Measurement(
                animal=one,
                on=day("2025-01-01") + datetime.timedelta(days=60 * k),
                disc_width_mm=200 + 40 * k + n,
                weight_g=round(0.06 * (20 + 4 * k) ** 2.9),
            )
            for k in range(5)
        )
    tanks = [Tank.objects.create(name=f"Tank {n}", volume_litres=900) for n in (1, 2, 3)]
    place(mira, tanks[0], on=day("2026-01-01"), by=owner)
    place(vega, tanks[0], on=day("2026-03-05"), by=owner)
    place(vega, tanks[1], on=day("2026-04-14"), by=owner)
    place(gone, tanks[0], on=day("2026-01-05"), by=owner)
    tap = WaterSource.objects.create(name="Tap", comes_from="tap", ph=Decimal("8.2"))
    jo, kim = add_contact(by=owner, name="Jo Lund"), add_contact(by=owner, name="Kim Berg")
    withdraw(kim, by=owner, now=NOW, reason="never came")
    observe(mira, "thin", since=day("2026-02-12"), today=TODAY, by=owner)
    treat(tanks[0], Prescribed("Salt", day("2026-02-12")), today=TODAY, by=owner)
    LoanAgreement.objects.create(
        animal=mira, contact=jo, direction="out", since=day("2026-01-11"), back_on=day("2026-02-12")
    )
    Loan.objects.create(animal=vega, since=day("2026-04-14"), until=day("2026-05-15"))
    Strain.objects.create(name="Pearl")
    cast.ray("Young", "F", born_on=day("2026-03-13"), born_precision="day", dam=mira)
    pearl = add_trait(by=owner, name="Pearl", inheritance="recessive", founder_share="1/10")
    mature = cast.female("Adhara", born_on=day("2019-03-01"))
    place(mature, tanks[2], on=day("2026-02-12"), by=owner)
    son = cast.male("Nashira", dam=mature, born_on=day("2023-03-01"))
    young = [
        cast.ray(name, "F", born_on=day("2026-02-12"), dam=mature, sire=sire)
        for name, sire in (("Kitalpha", deneb), ("Biham", None))
    ]
    young.append(cast.ray("Homam", "M", born_on=day("2026-02-13")))
    return {
        "owner": owner,
        "son": son,
        "young": young,
        "people": [jo, kim],
        "mature": mature,
        "animals": [mira, vega, deneb, dead, gone],
        "tanks": tanks,
        "sources": [tap],
        "traits": [pearl],
        "signs": list(SignKind.objects.order_by("pk")),
    }


def tables(house: dict[str, Any]) -> dict[str, Any]:
    """What the rows of each kind say, drawn from so few values that they meet each other."""
    animals, tanks = st.sampled_from(house["animals"]), st.sampled_from(house["tanks"])
    tanks_of_house, mature, son = house["tanks"], house["mature"], house["son"]
    numbers = st.sampled_from([None, Decimal(0), Decimal("6.5"), Decimal(27), Decimal(900)])
    return {
        "measurements": {
            "animal": animals,
            "on": DAYS,
            "disc_width": maybe(2, 120, 200, 330),
            "weight": maybe(180, 260, 9000),
            "back_height": maybe(40),
            "girth": maybe(1),
            "condition": maybe(3, 7),
            "note": NOTES,
        },
        "sightings": {
            "animal": animals,
            "kind": st.sampled_from(house["signs"]),
            "seen_at": MOMENTS,
            "time": maybe(datetime.time(9), datetime.time(14)),
            "male": maybe(*house["animals"][2:]),
            "severity": maybe(2, 9),
            "note": NOTES,
        },
        "feedings": {
            "fed_at": MOMENTS,
            "tank": maybe(*house["tanks"]),
            "animals": maybe(house["animals"][:2], house["animals"][:1], house["animals"][3:]),
            "food": st.sampled_from(["Smelt", "smelt", "Tank worms", "x" * 80]),
            "amount": maybe(Decimal(10), Decimal(5000), Decimal(-1)),
            "took": maybe(*Meal.Took.values),
            "note": NOTES,
        },
        "water": {
            "tank": tanks,
            "tested_at": MOMENTS,
            "read_as": maybe("ion", "N"),
            "note": NOTES,
            **dict.fromkeys(WaterTest.VALUES, numbers),
        },
        "changes": {
            "tank": tanks,
            "changed_at": MOMENTS,
            "percent": maybe(30, 100),
            "litres": maybe(100, 1000),
            "source": maybe(*house["sources"]),
            "note": NOTES,
        },
        "traits": {
            "animal": animals,
            "trait": st.sampled_from(house["traits"]),
            "what": st.sampled_from(TraitLook.Seen.values),
            "on": DAYS,
            "looked_by": maybe("Jo"),
            "sure_percent": maybe(100, 60, 20),
            "note": NOTES,
        },
        "observations": {
            "animal": animals,
            "kind": st.sampled_from(["thin", "something else", "a scrape"]),
            "since": DAYS,
            "over_on": maybe(day("2026-05-15"), day("2026-06-21")),
            "note": NOTES,
        },
        "treatments": {
            "animal": maybe(*house["animals"]),
            "tank": maybe(tanks_of_house[0]),
            "remedy": st.sampled_from(["Salt", " salt", "Copper sulfate", "x" * 90]),
            "dose": maybe(),
            "prescribed_by": maybe(),
            "against": maybe(),
            "since": DAYS,
            "until": maybe(day("2026-05-15"), day("2026-06-10")),
            "hold_until": maybe(day("2026-07-01"), day("2026-05-15")),
            "note": NOTES,
        },
        "quarantines": {
            "animal": animals,
            "since": DAYS,
            "least_days": maybe(0, 30),
            "ended_on": maybe(day("2026-03-13"), day("2026-06-10"), day("2026-06-21")),
            "result": maybe("clear", "cut_short"),
            "note": NOTES,
        },
        "arrivals": {
            "animal": animals,
            "on": DAYS,
            "contact": maybe(*house["people"]),
            "price": maybe((Decimal(200), "EUR"), (Decimal(200), ""), (Decimal(-1), "EUR")),
            "currency": maybe(),
            "papers": maybe(),
            "pregnant": maybe("yes", "scan"),
            "note": NOTES,
        },
        "loans": {
            "animal": animals,
            "direction": st.sampled_from(["out", "in"]),
            "contact": st.sampled_from(house["people"]),
            "since": DAYS,
            "due_back_on": maybe(day("2026-02-20"), day("2026-06-30")),
            "back_on": DAYS | st.none(),
            "young_owed": maybe(2, 99),
            "young_given": maybe(),
            "terms": NOTES,
        },
        "deaths": {
            "animal": animals,
            "on": DAYS | st.sampled_from([None, day("2026-03-20")]),
            "cause": st.sampled_from(["illness", "unknown"]),
            "is_by_laboratory": maybe("yes"),
            "found_where": maybe(),
            "ill_since": maybe(day("2026-03-10"), day("2026-06-21")),
            "circumstances": maybe(" thin ", "x" * 1001),
            "findings": maybe(),
            "examined_by": maybe(),
        },
        "reminders": {
            "text": st.sampled_from(["Look", "look", "x" * 130]),
            "on": st.sampled_from([TODAY, day("2026-06-19"), day("2026-08-01")]),
            "every_days": maybe(0, 7),
            "animal": maybe(house["animals"][0]),
            "tank": maybe(tanks_of_house[0]),
            "contact": maybe(house["people"][0]),
        },
        "pairings": {
            "female": st.sampled_from([*house["animals"][:4], mature]),
            "male": st.sampled_from([house["animals"][2], house["animals"][4], son]),
            "introduced_on": DAYS,
            "separated_on": DAYS | st.sampled_from([None, day("2026-06-21")]),
            "reason": maybe("to learn"),
            "note": NOTES,
        },
        "litters": {
            "dam": st.sampled_from([*house["animals"][:4], mature]),
            "sire": maybe(house["animals"][2], house["animals"][0]),
            "born_on": DAYS | st.sampled_from([day("2024-11-01"), day("2026-03-14")]),
            "alive": maybe(0, 1, 2),
            "dead": maybe(1, 0),
            "pups": maybe(2),
            "females": maybe(1),
            "males": maybe(),
            "young": maybe(house["young"][:1], house["young"][1:3], house["young"][1:]),
            "weights": maybe([85]),
            "widths": maybe(),
            "premature": maybe("yes"),
            "note": NOTES,
        },
        "strains": {
            "name": st.sampled_from(["Pearl", " PEARL", "Smoke", "smoke ", "x" * 90]),
            "species": maybe(),
            "description": maybe("pale"),
        },
        "people": {
            "name": st.sampled_from(["Jo Lund", "jo  lund", "Kim", " KIM ", "x" * 90, "Kim\u200b"]),
            "reach": maybe("by the door", "x" * 190),
            "mail": maybe("kim@example.org"),
            "telephone": maybe("0 123"),
            "address": maybe(),
            "wish": NOTES,
        },
        "stays": {
            "animal": animals,
            "tank": tanks,
            "side": maybe("left", "right"),
            "since": DAYS,
            "until": DAYS | st.none(),
            "reason": maybe("to learn"),
        },
    }


def become(kind: str, rows: list[Any], keep_all: Any, keeping: Keeping) -> tuple[Any, ...]:
    """What becomes of each row, what then is on record, and its history; all rolled back."""
    rows = deepcopy(rows)  # what is rolled back stays in what was read before
    act = Act.objects.create(key="1.a-table", person=keeping.by, at=NOW, door="/")
    try:
        keys = {
            model: set(model._base_manager.values_list("pk", flat=True)) for model in WRITES[kind]
        }
        with for_one_request(), set_actor(keeping.by), belonging_to(act), transaction.atomic():
            kept = keep_all(rows, keeping)
            new = {
                model: list(model._base_manager.exclude(pk__in=before).order_by("pk"))
                for model, before in keys.items()
            }
            entries = {model: _entries(model) for model in keys}
            changed = [
                [
                    (_facts(row), _updates(entries[model].get(str(row.pk), ())))
                    for row in model._base_manager.filter(pk__in=before).order_by("pk")
                ]
                for model, before in keys.items()
            ]
            told = [_said(one) for one in kept]
            held = [[_facts(row) for row in found] for found in new.values()]
            history = [
                sorted(_history(row, entries[model][str(row.pk)], keeping) for row in found)
                for model, found in new.items()
            ]
            transaction.set_rollback(True)
    finally:
        act.delete()
    return told, held, history, changed


def become_alike(kind: str, rows: list[Any], by: Any, keep: Any = None) -> list[Any]:
    """What becomes of each row, in their order: the same together and one after the other.

    keep: the act of one row, where it is another than that of `ONE_ROW`.
    """
    rows = sorted(rows, key=KINDS[kind].in_order)
    with timezone.override("Europe/London"):
        keeping = Keeping(by, cast.program_now(), NOW, TODAY, "here")
        alone = become(kind, rows, one_by_one(keep or ONE_ROW[kind]), keeping)
        together = become(kind, rows, KINDS[kind].keep_all, keeping)
    assert together == alone
    told: list[Any] = together[0]
    return told


def _said(kept: Kept) -> tuple[Any, ...]:
    refusal = kept.refusal.update_error_dict({}) if kept.refusal is not None else {}
    messages = {name: [str(one.messages[0]) for one in all_] for name, all_ in refusal.items()}
    if kept.without_reason:
        messages["no reason"] = [doubt.sentence for doubt in kept.without_reason]
    return (
        kept.record is not None,
        [(doubt.sentence, doubt.field) for doubt in kept.doubts],
        messages,
    )


def _facts(row: models.Model) -> dict[str, Any]:
    """A food is made by whichever row first names it, in its spelling."""
    left_out = {"id", "recorded_at", "feeding_id", "food_id"}
    left_out |= {
        "litter_id",
        "outcome_id",
        "animal_id",
        "profile_id",
    }  # new ones, whose keys say nothing
    facts = {one.attname: getattr(row, one.attname) for one in row._meta.concrete_fields}
    facts["animal"] = str(getattr(row, "animal", ""))
    facts["profile"] = str(getattr(row, "profile", ""))
    facts["food"] = str(getattr(row, "food", "")).lower()
    return {name: value for name, value in facts.items() if name not in left_out}


def _entries(model: type[models.Model]) -> dict[str, list[LogEntry]]:
    """What the history holds of rows of a model, by their keys."""
    kind, found = ContentType.objects.get_for_model(model), defaultdict[str, list[LogEntry]](list)
    for one in LogEntry.objects.filter(content_type=kind).select_related("actor").order_by("pk"):
        found[one.object_pk].append(one)
    return found


def _updates(entries: Iterable[LogEntry]) -> list[Any]:
    """What the table changed of a row that was on record before it."""
    its_own = [one for one in entries if one.cid == "1.a-table"]
    return [(one.action, one.object_repr, one.actor_id, one.changes) for one in its_own]


def _history(row: models.Model, entries: Sequence[LogEntry], keeping: Keeping) -> str:
    """Who wrote it down, under which act, and what it held."""
    entry, *more = entries
    assert (entry.actor, entry.cid, entry.action) == (keeping.by, "1.a-table", 0)
    assert entry.object_id == row.pk
    left_out = {"id", "recorded_at", "feeding", "food", "litter", "outcome", "animal", "profile"}
    changes = {name: pair for name, pair in entry.changes.items() if name not in left_out}
    assert entry.changes["id"] == ["None", str(row.pk)]
    assert {one.cid for one in more} <= {"1.a-table"}
    later = [sorted(one.changes.items()) for one in more]
    return f"{entry.object_repr.lower()} {sorted(changes.items())} {later}"


@pytest.mark.parametrize("kind", ONE_ROW)
@given(data=st.data())
@of_few_rows(8)
def test_many_rows_are_one_row_after_the_other(kind, house, data):
    facts = st.fixed_dictionaries(tables(house)[kind])
    rows = data.draw(st.lists(facts, min_size=1, max_size=7))
    rows = sorted(rows, key=KINDS[kind].in_order)
    program = cast.program_now()
    with timezone.override("Europe/London"):
        keeping = Keeping(house["owner"], program, NOW, TODAY, "here")
        alone = become(kind, rows, one_by_one(ONE_ROW[kind]), keeping)
        together = become(kind, rows, KINDS[kind].keep_all, keeping)
        assert together == alone
        asked = [Doubt(sentence) for _, doubts, _ in alone[0] for sentence, _ in doubts]
        sure = Keeping(
            house["owner"], program, NOW, TODAY, "here", frozenset(one.mark for one in asked)
        )
        told, *_ = become(kind, rows, KINDS[kind].keep_all, sure)
        assert told == [(is_kept, [], refused) for is_kept, _, refused in alone[0]]
