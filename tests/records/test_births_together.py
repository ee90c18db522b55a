"""Births of one table, and pairings, become together what each becomes by an act of its own."""

import datetime
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from breeding.animals.away.lent import Loan
from breeding.animals.models import Animal, Measurement, PossibleSire, Species, SpeciesShare
from breeding.housing.models import Tank
from breeding.housing.stays.placing import place
from breeding.litters.models import Litter, Pup
from breeding.program.frame.memory import for_one_request
from breeding.records.incoming.kinds import kept
from breeding.records.incoming.kinds.kind import Keeping
from breeding.records.incoming.kinds.table import KINDS
from tests import cast
from tests.cast import day
from tests.records.one_row import ONE_ROW, one_by_one
from tests.records.test_all_together import NOW, TODAY, WRITES, become
from tests.tries import of_few_rows

pytestmark = pytest.mark.django_db

NOTHING = dict.fromkeys(meaning.key for meaning in KINDS["litters"].meanings)


@pytest.fixture
def keeping(owner):
    return Keeping(owner, cast.program_now(), NOW, TODAY, "here")


@pytest.fixture
def dams(owner) -> list[Animal]:
    """Ten of age, of which the first one is in a tank."""
    found = [cast.female(f"Dam {n}", born_on=day("2018-01-01")) for n in range(10)]
    tank = Tank.objects.create(name="Tank 1", volume_litres=900)
    place(found[0], tank, on=day("2024-01-01"), by=owner)
    return found


@pytest.fixture
def sire() -> Animal:
    return cast.male("Deneb", born_on=day("2018-01-01"))


def young_of(dam: Animal, sire: Animal | None, on: str, name: str, **facts: Any) -> Animal:
    return cast.ray(name, "F", dam=dam, sire=sire, born_on=day(on), state_on=day(on), **facts)


def birth(dam: Animal, on: str, **facts: Any) -> dict[str, Any]:
    return {**NOTHING, "dam": dam, "born_on": day(on), **facts}


def compared(kind: str, rows: list[Any], keeping: Keeping) -> Any:
    rows = sorted(rows, key=KINDS[kind].in_order)
    alone = become(kind, rows, one_by_one(ONE_ROW[kind]), keeping)
    together = become(kind, rows, KINDS[kind].keep_all, keeping)
    assert together == alone
    return alone


@pytest.fixture
def by_themselves(monkeypatch) -> list[datetime.date]:
    """The days of those births that are written by an act of their own."""
    days: list[datetime.date] = []
    write = kept.kept_alone

    def noted(keep: Any, facts: Any, keeping: Keeping) -> kept.Kept:
        days.append(facts["born_on"])
        return write(keep, facts, keeping)

    monkeypatch.setattr(kept, "kept_alone", noted)
    return days


def test_young_on_record_named_or_found_become_pups_beside_others(keeping, dams, sire):
    one = young_of(dams[1], sire, "2026-02-12", "Kitalpha")
    two = young_of(dams[2], None, "2026-02-13", "Biham", markings="ring")
    left = young_of(dams[3], sire, "2026-02-14", "Homam", state="left")
    rows = [
        birth(dams[0], "2026-02-11", sire=sire, alive=2, dead=1),
        birth(dams[1], "2026-02-12", sire=sire, young=[one], dead=1, note="small"),
        birth(dams[2], "2026-02-13", alive=2),  # one of them on record
        birth(dams[3], "2026-02-14", young=[left]),
        birth(dams[4], "2026-02-15", sire=sire, alive=1),
    ]
    told, (outcomes, litters, pups, animals, stays, measured, *_), *_ = compared(
        "litters", rows, keeping
    )
    assert [is_kept for is_kept, *_ in told] == [True] * 5
    assert [len(one) for one in (outcomes, litters, animals)] == [5, 5, 4]
    assert (len(stays), len(measured)) == (2, 0)
    joined = [(pup["number"], pup["animal"].split(" (")[0]) for pup in pups if pup["is_joined"]]
    assert joined == [(1, "Kitalpha"), (1, "Biham"), (1, "Homam")]
    assert [two.markings] == [pup["markings"] for pup in pups if pup["markings"]]


def test_only_what_is_refused_or_named_twice_is_written_by_itself(
    keeping, dams, sire, by_themselves
):
    other = cast.male("Rigel", born_on=day("2018-01-01"))
    as_it_is = young_of(dams[0], sire, "2026-01-01", "Kitalpha")
    of_other = young_of(dams[1], other, "2026-01-02", "Biham")
    of_nobody = cast.ray("Homam", "M", born_on=day("2026-01-03"), born_precision="day")
    dead = young_of(dams[3], sire, "2026-01-04", "Matar", state="died")
    twice = young_of(dams[4], sire, "2026-01-05", "Sadal")
    later = young_of(dams[6], sire, "2026-01-08", "Enif")
    rows = [
        birth(dams[0], "2026-01-01", sire=sire, young=[as_it_is]),
        birth(dams[1], "2026-01-02", sire=sire, young=[of_other]),  # another sire on record
        birth(dams[2], "2026-01-03", young=[of_nobody]),  # no dam on record
        birth(dams[3], "2026-01-04", young=[dead]),  # born dead, by its record
        birth(dams[4], "2026-01-05", sire=sire, alive=1),  # whom the next row names, too
        birth(dams[5], "2026-01-06", young=[twice]),
        birth(dams[6], "2026-01-07", sire=sire, alive=1),  # Enif, and a day earlier
        birth(dams[7], "2026-01-09", alive=1, weights=[85], widths=[70]),
        birth(dams[8], "2026-01-10", alive=1),
        birth(sire, "2026-01-11", alive=1),  # no female
        birth(dams[9], "2026-01-12", alive=2, dead=1),
    ]
    assert later.born_on == day("2026-01-08")
    compared("litters", rows, keeping)
    del by_themselves[:]
    become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert [on.day for on in by_themselves] == [5, 6, 11]


def test_births_that_tell_one_size_of_each_pup_are_written_together(
    keeping, dams, sire, by_themselves
):
    rows = [
        birth(dams[2], "2024-01-03", males=2, dead=1, weights=[85, 90]),  # long ago, as well
        birth(dams[0], "2026-01-01", sire=sire, alive=2, dead=1, weights=[75, None, 60]),
        birth(dams[1], "2026-01-02", females=1, males=1, widths=[90, 70]),  # in which order?
        birth(dams[3], "2026-01-04", sire=sire, alive=2, weights=[85]),  # too few
    ]
    told, (_, _, pups, animals, _, measured, *_), *_ = compared("litters", rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [True, True, True, False]
    assert [len(doubts) for _, doubts, _ in told] == [2, 1, 1, 0]
    assert [(one["disc_width_mm"], one["weight_g"]) for one in measured] == [
        *((None, 85), (None, 90), (None, 75), (90, None), (70, None))
    ]
    assert (len(pups), len(animals)) == (8, 6)
    del by_themselves[:]
    become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert [on.day for on in by_themselves] == [4]


def test_sizes_of_young_on_record_are_held_against_what_is_known_of_them(
    keeping, dams, sire, by_themselves
):
    young = young_of(dams[0], sire, "2026-01-01", "Kitalpha")
    rows = [
        birth(dams[0], "2026-01-01", sire=sire, alive=2, weights=[None, 85]),
        birth(dams[1], "2026-01-02", sire=sire, alive=1, weights=[85]),
    ]
    told, (*_, measured, _, _, _), *_ = compared("litters", rows, keeping)
    assert [(one["on"].day, one["weight_g"]) for one in measured] == [(1, 85), (2, 85)]
    del by_themselves[:]
    rows.append(birth(dams[2], "2026-01-03", alive=1, young=[young], weights=[80]))
    become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert 3 in [on.day for on in by_themselves]
    assert all(is_kept for is_kept, *_ in told)


def test_births_that_tell_both_sizes_are_asked_of_each_pup_and_written_together(
    keeping, dams, sire, by_themselves
):
    weights, widths = [85, 900, 60, None, 7, 85], [95, 95, 70, 80, 95, 60]
    rows = [
        birth(dams[0], "2026-01-01", sire=sire, alive=2, weights=[60, 58], widths=[95, 94]),
        birth(dams[1], "2024-01-02", females=6, dead=1, weights=weights, widths=widths),
        birth(dams[2], "2026-01-03", dead=1, weights=[85], widths=[10]),
    ]
    told, (_, _, _, animals, _, measured, *_), *_ = compared("litters", rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [True] * 3
    usual = "A weight of {} does not go with a disc width of {}: about {} would be usual. Is one "
    usual += "of the two in another unit?"
    [(_, asked, _)] = [one for one in told if len(one[1]) > 2]
    assert [sentence for sentence, _ in asked[2:]] == [
        usual.format("900 g", "9.5 cm", "43 g"),
        usual.format("7 g", "9.5 cm", "43 g"),
        usual.format("85 g", "6.0 cm", "11 g"),
    ]
    assert (len(animals), len(measured)) == (8, 8)
    del by_themselves[:]
    become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert not by_themselves


def test_sizes_of_young_on_record_are_written_together(keeping, dams, sire, by_themselves):
    one = young_of(dams[0], sire, "2026-01-01", "Kitalpha")
    other = young_of(dams[1], None, "2026-01-02", "Biham")
    Measurement.objects.create(animal=one, on=day("2026-01-01"), weight_g=30)
    Measurement.objects.create(animal=other, on=day("2026-01-04"), disc_width_mm=60)
    rows = [
        birth(dams[0], "2026-01-01", sire=sire, alive=2, weights=[85, 80], widths=[95, 94]),
        birth(dams[1], "2026-01-03", sire=sire, young=[other], weights=[80]),
    ]
    told, (*_, measured, _, _, _), *_ = compared("litters", rows, keeping)
    assert [(row["animal"], row["weight_g"]) for row in measured] == [
        ("26-01-2", 80),
        ("Kitalpha", 85),
        ("Biham", 80),
    ]
    (_, asked, _), (_, after, _) = told
    assert (
        "Weight 85 g on 1 January 2026 stands against 30 g on 1 January 2026: 2.8 times as "
        "much on one day.",
        "weight_g",
    ) in asked
    assert [sentence for sentence, _ in after] == [
        "A weight of 80 g does not go with a disc width of 6.0 cm: about 11 g would be usual. Is "
        "one of the two in another unit?"
    ]
    del by_themselves[:]
    become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert not by_themselves


def test_a_question_of_a_size_loses_nothing_that_becomes_of_young(keeping, dams, sire):
    young = young_of(dams[1], None, "2026-01-02", "Biham")
    Measurement.objects.create(animal=young, on=day("2026-01-04"), weight_g=30)
    rows = [birth(dams[1], "2026-01-03", sire=sire, young=[young], weights=[80])]
    [one] = one_by_one(ONE_ROW["litters"])(rows, keeping)
    assert len(one.doubts) == 1
    now = Animal.objects.get(pk=young.pk)
    assert (now.sire, now.born_on) == (sire, day("2026-01-03"))


def test_young_who_breed_in_the_same_table_take_their_parents_first(
    keeping, dams, sire, by_themselves
):
    first = cast.ray("Kitalpha", "F")
    son = cast.ray("Biham", "M", born_on=day("2020-05-12"), born_precision="day")
    their = young_of(first, None, "2023-01-02", "Homam")
    rows = [
        birth(dams[0], "2020-05-10", sire=sire, young=[first]),
        birth(dams[1], "2020-05-12", sire=sire, young=[son]),
        birth(first, "2023-01-02", sire=son, young=[their]),
        birth(first, "2024-01-02", sire=son, dead=2),
        birth(their, "2025-11-02", sire=sire, alive=1),
        birth(first, "2020-12-02", sire=son, alive=1),  # too young
    ]
    told, (_, litters, *_), *_ = compared("litters", rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [True, True, False, True, True, True]
    assert "too short a time before the litter" in told[2][2]["dam"][0]
    assert len(litters) == 5
    del by_themselves[:]
    become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert not by_themselves


def test_who_stems_from_whom_is_read_again_after_each_part_of_the_table(keeping, dams, sire):
    """Nobody knows when Enif and Sadal were born: only descent forbids the last one."""
    homam, enif, biham, sadal, matar, hamal = (
        cast.female(name) for name in ("Homam", "Enif", "Biham", "Sadal", "Matar", "Hamal")
    )
    Animal.objects.filter(pk=enif.pk).update(dam=biham)
    Animal.objects.filter(pk=sadal.pk).update(dam=matar)
    rows = [
        birth(dams[0], "2019-01-01", young=[hamal]),
        birth(enif, "2019-01-02", young=[homam]),
        birth(hamal, "2024-01-01", alive=1),  # with which a part begins
        birth(sadal, "2024-01-02", young=[biham]),
        birth(homam, "2024-01-03", young=[matar]),  # from whom Homam stems by now
    ]
    told, *_ = compared("litters", rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [True] * 4 + [False]


def test_births_by_an_act_of_their_own_are_as_many_of_a_table_as_of_any_other(
    keeping, dams, sire, monkeypatch
):
    """Each named twice: those of one part of the table count for the next, and so does each run."""
    monkeypatch.setattr(kept, "MOST_ONE_BY_ONE", 3)
    dam = young_of(dams[0], sire, "2019-02-12", "Biham")
    rows = [birth(dams[at], f"2019-02-{12 + n}", young=[dam]) for n, at in enumerate((0, 1))] + [
        birth(dam, f"2026-02-{12 + n}", alive=1) for n in range(3)
    ]
    found = KINDS["litters"].keep_all(rows, keeping)
    assert [one.record is not None for one in found[2:]] == [True, False, False]
    assert found[-1].refusal.messages == [
        "Of rows like these at most 3 are brought in at once, and the table has 5: split it."
    ]


def test_young_with_young_or_with_several_sires_are_changed_together(
    keeping, dams, sire, by_themselves
):
    other = cast.male("Rigel", born_on=day("2018-01-01"))
    found = [cast.ray(f"Young {n}", "U", born_on=day("2022-05-10")) for n in range(4)]
    cast.ray("Homam", "F", sire=found[0], born_on=day("2025-05-10"), born_precision="day")
    cast.ray("Matar", "F", sire=found[1], born_on=day("2022-05-14"), born_precision="day")
    for one in found[2:]:
        for male in (sire, other):
            PossibleSire.objects.create(animal=one, sire=male, share=Fraction(1, 2))
    rows = [
        birth(dams[0], "2022-05-12", sire=sire, young=[found[0]]),
        birth(dams[1], "2022-05-15", sire=sire, young=[found[1]]),  # it has young of the day before
        birth(dams[2], "2022-05-16", sire=sire, young=[found[2]]),
        birth(dams[3], "2022-05-17", young=[found[3]]),  # whose sires stay
    ]
    told, _, _, changed = compared("litters", rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [True, False, True, True]
    [refused] = told[1][2].values()
    assert "Young 1 is the sire of Matar, born 14 May 2022; it must be born before" in refused[0]
    possible = changed[WRITES["litters"].index(PossibleSire)]
    assert [row["animal"] for row, _ in possible] == ["Young 3", "Young 3"]
    del by_themselves[:]
    become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert [on.day for on in by_themselves] == [15]


@pytest.mark.parametrize("state", ["left", "died", "on_loan"])
def test_pups_that_are_not_here_are_written_together(state, keeping, dams, sire, by_themselves):
    keeping = replace(keeping, usual_state=state)
    one = young_of(dams[2], sire, "2021-02-12", "Kitalpha")
    rows = [
        birth(dams[0], "2024-01-03", sire=sire, alive=2, dead=1),  # she is in a tank
        birth(dams[1], "2021-01-01", females=1, weights=[85]),
        birth(dams[2], "2021-02-12", sire=sire, alive=2, young=[one]),
    ]
    told, (_, _, _, animals, stays, *_), *_ = compared("litters", rows, keeping)
    assert [(is_kept, asked) for is_kept, asked, _ in told] == [(True, [])] * 3
    assert [(row["state"], row["state_on"]) for row in animals] == [(state, None)] * 4
    assert [row["until"] == row["since"] for row in stays] == [True, True]
    one.refresh_from_db()
    assert one.is_here
    del by_themselves[:]
    become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert not by_themselves


@pytest.fixture
def on_record(dams, sire) -> list[Animal]:
    """Young of every kind that a birth may change, most of them as nobody would have it."""
    other = cast.male("Rigel", born_on=day("2018-01-01"))
    late = cast.male("Alnair", born_on=day("2018-01-01"))
    found = [
        young_of(dams[1], sire, "2026-02-12", "Kitalpha"),
        young_of(dams[1], None, "2026-02-11", "Biham"),
        young_of(dams[2], other, "2026-02-13", "Homam"),
        cast.ray("Matar", "M", born_on=day("2026-02-01"), born_precision="month"),
        cast.ray("Sadal", "F"),
        young_of(dams[2], sire, "2026-02-12", "Enif", state="left"),
        young_of(dams[3], None, "2026-02-10", "Baham", state="died"),
        young_of(dams[3], None, "2026-02-11", "Markab"),
        young_of(dams[3], None, "2024-02-11", "Algenib"),
        young_of(dams[3], late, "2026-02-12", "Scheat"),
        cast.ray("Sirrah", "F", born_on=day("2026-02-12"), born_precision="day"),
    ]
    Animal.objects.filter(pk=late.pk).update(state="died", state_on=day("2020-01-01"))
    cast.ray("Hamal", "M", dam=found[8], born_on=day("2026-02-12"), state_on=day("2026-02-12"))
    PossibleSire.objects.create(animal=found[7], sire=sire, share=Fraction(1, 2))
    PossibleSire.objects.create(animal=found[7], sire=other, share=Fraction(1, 2))
    SpeciesShare.objects.create(
        animal=found[4], species=Species.objects.order_by("pk")[0], share=Fraction(1)
    )
    Loan.objects.create(animal=found[1], since=day("2026-02-11"), until=day("2026-02-11"))
    return found


@given(data=st.data())
@of_few_rows(25)
def test_births_that_change_young_on_record(data, keeping, dams, sire, on_record):
    facts = st.fixed_dictionaries(
        {
            "dam": st.sampled_from([*dams[:5], on_record[8], on_record[9]]),
            "born_on": st.sampled_from([day(f"2026-02-1{n}") for n in range(1, 4)]),
            "sire": st.sampled_from([None, sire, on_record[3], on_record[0]]),
            "young": st.lists(st.sampled_from(on_record), max_size=3, unique_by=id),
            "dead": st.sampled_from([None, 1]),
            "alive": st.sampled_from([None, None, 1, 2]),
            "weights": st.sampled_from([None, None, [85], [85, 60], [None, 60], [0]]),
            "widths": st.sampled_from([None, None, None, [70], [70, 900]]),
        }
    )
    rows = data.draw(st.lists(facts, min_size=1, max_size=6))
    compared(
        "litters", [{**NOTHING, **row, "young": row["young"] or None} for row in rows], keeping
    )


def test_young_that_change_are_written_in_as_many_questions_as_one(keeping, dams, by_themselves):
    def asked(number: int, born: str) -> int:
        rows = []
        for dam in dams[:number]:
            one = cast.ray(f"{dam.call_name} {born}", "F", born_on=day(born), born_precision="day")
            rows.append(birth(dam, born, young=[one]))
        with for_one_request(), CaptureQueriesContext(connection) as queries:
            for one in KINDS["litters"].keep_all(rows, keeping):
                assert one.record is not None
        assert {pup.animal.dam for row in rows for pup in _pups_of(row)} == set(dams[:number])
        return len(queries)

    assert asked(2, "2025-02-12") == asked(8, "2026-02-12")
    assert not by_themselves


def _pups_of(row: dict[str, Any]) -> list[Pup]:
    return list(Pup.objects.filter(litter__dam=row["dam"], litter__born_on=row["born_on"]))


def test_a_sire_that_cannot_be_is_told_at_its_row(keeping, dams, sire):
    rows = [
        birth(dams[0], "2026-01-01", sire=sire, alive=1),
        birth(dams[1], "2026-01-02", sire=dams[2], alive=1),  # a female
        birth(dams[3], "2026-01-03", sire=sire, alive=2),
        birth(dams[4], "2026-01-04", sire=dams[3], alive=1),  # a dam, too
        birth(dams[5], "2026-01-05", alive=1),
    ]
    told, (_, litters, *_), *_ = compared("litters", rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [True, False, True, False, True]
    assert [one["code"] for one in litters] == ["26-01", "26-02", "26-03"]


def test_young_of_a_birth_of_the_table_are_no_parents_of_the_next(keeping, dams, sire):
    young = young_of(dams[0], sire, "2024-03-01", "Kitalpha")
    rows = [
        birth(dams[0], "2024-03-01", sire=sire, young=[young]),
        birth(young, "2026-03-01", sire=sire, alive=1),  # of age by then
        birth(young, "2024-06-01", sire=sire, alive=1),  # three months old
    ]
    told, *_ = compared("litters", rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [True, False, True]


def test_the_same_table_a_second_time_is_refused_birth_by_birth(keeping, dams, sire, by_themselves):
    young = young_of(dams[1], sire, "2026-02-12", "Kitalpha")
    rows = [
        birth(dams[0], "2026-02-11", sire=sire, alive=2),
        birth(dams[1], "2026-02-12", sire=sire, young=[young]),
        birth(dams[2], "2026-02-13", dead=2),
    ]
    for one in KINDS["litters"].keep_all(rows, keeping):
        assert one.record is not None
    del by_themselves[:]
    rows.append(birth(dams[3], "2026-02-14", dead=1))
    become("litters", rows, KINDS["litters"].keep_all, keeping)
    assert not by_themselves
    told, held, *_ = compared("litters", rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [False, False, False, True]
    assert told[1][2]["born_on"][0].startswith("Dam 1 has litter 26-02 of 12 February 2026")
    assert (Litter.objects.count(), len(held[1])) == (3, 1)


def pairing(female: Animal, male: Animal, *days: str, **facts: Any) -> dict[str, Any]:
    nothing = dict.fromkeys(meaning.key for meaning in KINDS["pairings"].meanings)
    since, until = (day(one) for one in days)
    its = {"female": female, "male": male, "introduced_on": since, "separated_on": until}
    return {**nothing, **its, **facts}


def test_pairings_with_kin_among_them_and_the_same_table_a_second_time(keeping, dams, sire):
    daughter = cast.female("Vega", sire=sire, dam=dams[0], born_on=day("2021-01-01"))
    gone = cast.male("Rigel", state="died", state_on=day("2025-01-01"))
    rows = [
        pairing(dams[0], sire, "2026-01-01", "2026-01-10"),
        pairing(daughter, sire, "2026-01-11", "2026-01-20", reason="to learn"),
        pairing(daughter, sire, "2026-01-21", "2026-01-25"),  # a father, and no reason
        pairing(dams[0], sire, "2026-01-05", "2026-01-12"),  # together by the first row
        pairing(dams[1], gone, "2026-02-01", "2026-02-10"),
        pairing(dams[2], dams[3], "2026-02-01", "2026-02-10"),
        pairing(dams[4], sire, "2026-02-01", "2026-02-10"),
    ]
    told, (pairings,), *_ = compared("pairings", rows, keeping)
    assert [is_kept for is_kept, *_ in told] == [True, False, True, False, False, False, True]
    assert [one["inbreeding_expected"] for one in pairings] == [0, 0.25, 0]
    KINDS["pairings"].keep_all(rows, keeping)
    told, *_ = compared("pairings", rows, keeping)
    assert not any(is_kept for is_kept, *_ in told)
