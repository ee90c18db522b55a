"""Past sales brought in together are what the page makes of one after the other."""

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from breeding.animals.away.lent import Loan
from breeding.animals.models import Animal
from breeding.animals.services import change_animal
from breeding.arrivals.loans.acts import take_in
from breeding.arrivals.models import LoanAgreement
from breeding.buyers.cautions import Going, beside_others, cautions_before, cautions_of_each
from breeding.buyers.hand_overs import hand_over
from breeding.buyers.models import HandOver, Reservation
from breeding.buyers.services import reserve_animal
from breeding.health.apart.services import keep_apart
from breeding.health.illness.observing import observe
from breeding.health.illness.treating import Prescribed, treat
from breeding.health.models import Quarantine
from breeding.housing.models import Stay, Tank, WaterTest
from breeding.housing.stays.placing import place
from breeding.litters.verdicts.deciding import record_verdict
from breeding.pairings.models import Outcome, Pairing, Sighting, SignKind
from breeding.pairings.season.maybe import may_have_a_season
from breeding.pairings.season.reading import season_of
from breeding.program.problems.doubts import Doubt, ask
from breeding.words.days import long_day
from tests import cast
from tests.buyers.litters import litter_of, pup
from tests.cast import day
from tests.records.test_all_together import (
    DAYS,
    NOTES,
    TODAY,
    WRITES,
    become_alike,
    house,
    maybe,
)
from tests.tries import tries

pytestmark = pytest.mark.django_db

__all__ = ["house"]
WRITES["sales"] = (HandOver, Animal, Stay, Reservation, Pairing)


@pytest.fixture
def market(house: dict[str, Any]) -> dict[str, Any]:
    """More that are to go: young ones, one of them held back, one kept for somebody, apart, lent by
    its owner, treated, with a mate; and some that left by their own record alone."""
    owner, [jo, kim], tanks = house["owner"], house["people"], house["tanks"]
    litter = litter_of(house["mature"], days_old=45, widths=(160, 120, 150), today=TODAY)
    young = [pup(litter, name) for name in ("Alya", "Botein", "Chara")]
    for one in young[:2]:
        place(one, tanks[0], on=day("2026-06-10"), by=owner)
    record_verdict(
        young[2], decision="hold", on=day("2026-06-01"), today=TODAY, by=owner, reason="her line"
    )
    names = ("Kraz", "Situla", "Castor", "Porrima")
    kept, apart, lent, ill = (cast.ray(name, "M") for name in names)
    reserve_animal(kept, jo, by=owner, on=day("2026-05-15"))
    keep_apart([apart], since=day("2026-05-15"), today=TODAY, by=owner)
    take_in(lent, jo, by=owner, today=TODAY, since=day("2026-01-11"))
    treat(ill, Prescribed("Salt", day("2026-04-14")), today=TODAY, by=owner)
    mate = cast.female("Zaniah", born_on=day("2020-03-01"))
    Pairing.objects.create(female=mate, male=house["son"], introduced_on=day("2026-02-12"))
    on_its_day = cast.ray("Adhafera", "M", state="left", state_on=day("2026-03-13"))
    sometime = cast.ray("Alchiba", state="left", born_on=day("2025-04-01"))
    fathers = cast.ray("Sargas", "F", sire=house["son"], born_on=day("2026-03-01"), state="left")
    tested_at = datetime.datetime(2026, 6, 9, 12, tzinfo=datetime.UTC)
    WaterTest.objects.create(tank=tanks[0], tested_at=tested_at, ph=Decimal("9.1"))
    guest = cast.ray("Guest", "M", born_on=day("2026-01-02"), pure="wallacei")
    place(guest, tanks[0], on=day("2026-01-11"), by=owner)
    for one in (mate, house["son"]):
        place(one, Tank.objects.get(name="Tank 2"), on=day("2026-02-12"), by=owner)
    company = in_company(owner)
    more = [*young, kept, apart, lent, ill, mate, on_its_day, sometime, fathers, house["mature"]]
    more += [guest, *company]
    animals = [*house["animals"], house["son"], *more]
    return {**house, "people": [jo, jo, kim], "animals": animals, "company": company}


def in_company(by: Any) -> list[Animal]:
    """Females with males until they go, or their males do: one tank, whose male is moved into the
    other later; of some a sign names a male, and one gave birth."""
    born_on = day("2020-03-01")
    tanks = [Tank.objects.create(name=name, volume_litres=900) for name in ("Harem", "Beside")]
    hers = [cast.female(name, born_on=born_on) for name in ("Nunki", "Ascella", "Kaus", "Albaldah")]
    his = [cast.male(name, born_on=born_on) for name in ("Polis", "Nash")]
    for at, one in enumerate((*hers, *his)):
        place(one, tanks[at in (3, 5)], on=day("2026-01-11"), by=by)
    place(his[0], tanks[1], on=day("2026-04-14"), by=by)
    place(hers[0], tanks[1], on=day("2026-05-15"), by=by)
    at = datetime.datetime(2026, 4, 20, 12, tzinfo=datetime.UTC)
    kind = SignKind.objects.get(key="following")
    Sighting.objects.create(female=hers[1], male=his[1], kind=kind, seen_at=at)
    Sighting.objects.create(female=hers[2], male=his[0], kind=kind, seen_at=at)
    Outcome.objects.create(female=hers[3], on=day("2026-04-20"), kind="live_birth")
    return [*hers, *his]


@pytest.fixture
def ward(market: dict[str, Any]) -> dict[str, Any]:
    """Beside them, three in one tank for quarantine and one by word beside a fourth, of whom two
    fall ill after others may have gone; one that is on loan since a day, one whose loan is over."""
    owner, names = market["owner"], ("Navi", "Segin", "Ruchbah", "Achird", "Fulu")
    born_on = day("2024-03-01")
    kept = [cast.ray(name, "FM"[n % 2], born_on=born_on) for n, name in enumerate(names)]
    apart = Tank.objects.create(name="Apart", volume_litres=900, kind="quarantine")
    beside = Tank.objects.create(name="By word", volume_litres=900)
    for one, tank, on in (
        (kept[0], apart, "2026-03-01"),
        (kept[1], apart, "2026-03-05"),
        (kept[2], apart, "2026-03-20"),
        (kept[3], beside, "2026-03-01"),
        (kept[4], beside, "2026-03-01"),
    ):
        place(one, tank, on=day(on), by=owner)
    place(kept[2], beside, on=day("2026-04-02"), by=owner)
    keep_apart([kept[3]], since=day("2026-04-10"), today=TODAY, by=owner)
    for one, on in ((kept[1], "2026-04-14"), (kept[4], "2026-05-16")):
        observe(one, "thin", since=day(on), today=TODAY, by=owner)
        observe(one, "skin", since=day(on), today=TODAY, by=owner)
    away = cast.ray("Away", "M", born_on=born_on, state="on_loan", state_on=day("2026-04-14"))
    back = cast.ray("Back", "M", born_on=born_on)
    LoanAgreement.objects.create(
        animal=back,
        contact=market["people"][0],
        direction="out",
        since=day("2026-02-12"),
        back_on=day("2026-03-13"),
    )
    Loan.objects.create(animal=back, since=day("2026-03-13"), until=day("2026-03-14"))
    return {**market, "kept": kept, "animals": [*market["animals"], *kept, away, back]}


def sale(facts: Any, keeping: Any) -> HandOver:
    """One row by the acts of the pages: the cautions are read where they are answered."""
    one, on = Animal.every.get(pk=facts["animal"].pk), facts["on"]
    if one.state == "left" and not one.hand_overs.filter(withdrawn_at__isnull=True).exists():
        if one.state_on not in (None, on):
            words = f"{one.name} left on {long_day(one.state_on)} by its own record, not on "
            raise ValidationError({"on": f"{words}{long_day(on)}."})
        change_animal(one, state="here", state_on=None)
    price, currency = facts["price"] or (None, "")
    given = {
        "by": keeping.by,
        "program": keeping.program,
        "on": on,
        "today": keeping.today,
        "transport": facts["transport"],
        "sure": keeping.sure,
        "reason": "brought in from a table",
        "hours_expected": facts["hours_expected"],
        "price": price,
        "currency": currency,
        "note": facts["note"] or "",
    }
    try:
        with transaction.atomic():
            return hand_over(one, facts["contact"], **given)
    except ValidationError as problem:
        said = problem.update_error_dict({}).get("has_read_cautions")
        if said is None:
            raise
        ask([Doubt(str(each.messages[0]), "animal") for each in said], keeping.sure)
    return hand_over(one, facts["contact"], has_read_cautions=True, **given)


def rows_of(market: dict[str, Any], whom: str = "animals") -> Any:
    return st.fixed_dictionaries(
        {
            "animal": st.sampled_from(market[whom]),
            "contact": st.sampled_from(market["people"]),
            "on": DAYS | st.sampled_from([day("2026-06-11"), day("2026-06-21")]),
            "price": maybe((Decimal(350), "EUR"), (Decimal(350), ""), (Decimal(1), "XYZ")),
            "currency": st.none(),
            "transport": st.sampled_from(["own_car", "courier", "air"]),
            "hours_expected": maybe(3, 40, 9999),
            "packing": st.none(),
            "permit_number": st.none(),
            "note": NOTES,
        }
    )


def some(max_examples: int) -> Any:
    return settings(
        max_examples=tries(max_examples),
        phases=[Phase.explicit, Phase.reuse, Phase.generate],  # rows are few: no need to shrink
        deadline=None,
        suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
    )


@given(data=st.data())
@some(20)
def test_many_sales_are_one_sale_after_the_other(market, data):
    compared(market, data.draw(st.lists(rows_of(market), min_size=1, max_size=9)))


@given(data=st.data())
@some(12)
def test_females_and_the_males_they_were_with_go_one_after_the_other(market, data):
    rows = rows_of(market, "company")
    compared(market, data.draw(st.lists(rows, min_size=4, max_size=8, unique_by=_whom)))


@given(data=st.data())
@some(20)
def test_those_who_may_be_in_quarantine_go_one_after_the_other(ward, data):
    compared(ward, data.draw(st.lists(rows_of(ward, "kept"), min_size=2, max_size=5)))


@pytest.mark.parametrize("number", [1, 2])
def test_one_that_left_out_of_quarantine_by_its_own_record_is_held(market, number):
    left = {"state": "left", "state_on": day("2026-05-15")}
    gone = [cast.ray(name, "M", **left) for name in ("Sham", "Anser")]
    for one in gone:
        Quarantine.objects.create(animal=one, since=day("2026-05-14"))
    rows = [
        {
            **dict.fromkeys(("price", "currency", "hours_expected", "packing", "permit_number")),
            **{"animal": one, "contact": market["people"][0], "on": day("2026-05-15")},
            **{"transport": "own_car", "note": None},
        }
        for one in gone[:number]
    ]
    for said in compared(market, rows):
        assert said[-1].endswith(
            "is in quarantine, 30 days from 14 May 2026, and is held until 13 June 2026. It is not "
            "to leave."
        )


def _whom(facts: Any) -> int:
    return facts["animal"].pk


def compared(market: dict[str, Any], rows: list[Any]) -> list[list[str]]:
    told = become_alike("sales", rows, market["owner"], sale)
    return [[sentence for sentence, _ in doubts] for _, doubts, _ in told]


def test_the_cautions_of_many_are_those_of_each(market):
    """Each as of days of its own, and of one day."""
    program = cast.program_now()
    animals = [Animal.every.get(pk=one.pk) for one in market["animals"]]
    days = [TODAY, day("2026-06-11"), day("2026-05-15"), day("2026-03-13"), day("2026-02-12")]
    for turn in range(0, len(days), 2):
        going = [
            Going(one, days[(turn + n) % len(days)], 40 if n % 3 else None)
            for n, one in enumerate(animals)
        ]
        of_each = [cautions_before(one, program, on=on, hours=hours) for one, on, hours in going]
        assert cautions_of_each(going, program) == of_each
        assert any(said for said in of_each)


def test_without_a_season_there_is_no_chance_of_pups(market):
    animals = [Animal.every.get(pk=one.pk) for one in market["animals"]]
    found = may_have_a_season(dict.fromkeys(animals, TODAY))
    assert {one.call_name for one in animals if one.pk in found} == {
        *("Mira", "Vega", "Zaniah", "Adhara", "Nunki", "Ascella", "Kaus", "Albaldah")
    }
    chances = {
        season_of(one, cast.program_now(), asof=on).estimate.chance
        for one in animals
        if one.pk not in found and one.sex != "M"
        for on in (day("2026-01-11"), day("2026-04-14"), TODAY)
    }
    assert chances == {0.0}


def test_most_of_them_go_together(market):
    """By themselves go those who are gone with a stay open, or were moved."""
    animals = [Animal.every.get(pk=one.pk) for one in market["animals"]]
    alone, tanks = beside_others(dict.fromkeys(animals, TODAY))
    names = {one.pk: one.call_name for one in animals}
    assert alone == set()
    assert {names[key] for key in tanks} == {"Alya", "Botein", "Mira", "Vega", "Rigel", "Guest"}
    alone, _ = beside_others(dict.fromkeys(animals, day("2026-05-15")))
    assert {names[key] for key in alone} == {"Nunki"}
