"""Young on record that are of a birth are joined to it; after an import litters are offered."""

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.litters.births.found import any_found, found_litters, make_litters
from breeding.litters.births.joining import (
    differs_words,
    join_young,
    may_be_young_of,
    surely_young_of,
)
from breeding.litters.models import Litter, Pup
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.models import Outcome
from breeding.program import clock
from breeding.program.acts.once import new_token
from breeding.program.models import Act
from breeding.records.models import ImportDraft
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db
NEW, FOUND = reverse("litters:new"), reverse("litters:found")


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def mira(owner):
    return cast.female("Mira")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb")


def young(name, days, **facts):
    return cast.ray(name, facts.pop("sex", "U"), born_on=ago(days), **facts)


def birth(dam, *pups, days=10, **more):
    return record_birth(dam=dam, born_on=ago(days), pups=pups, today=clock.today(), by=None, **more)


def anew(animal):
    return Animal.objects.get(pk=animal.pk)


# ------------------------------------------------------------------------------- offered


def test_hers_and_those_of_no_dam_born_about_that_day_may_be_young_of_a_birth(mira):
    young("Alcor", 10, dam=mira)
    young("Mizar", 19, dam=mira)
    young("Rana", 4)
    young("Toolong", 21, dam=mira)
    young("Other", 10, dam=cast.female("Vega"))
    cast.ray("Year", dam=mira, born_on=cast.day("2026-01-01"), born_precision="year")
    assert [one.call_name for one in may_be_young_of(mira, ago(10))] == ["Alcor", "Mizar", "Rana"]
    assert [one.call_name for one in surely_young_of(mira, ago(10))] == ["Alcor"]


def test_a_pup_of_a_litter_is_offered_to_no_other(mira):
    birth(mira, young=[young("Alcor", 10, dam=mira)])
    assert not may_be_young_of(mira, ago(10)).exists()


def test_what_differs_is_said(mira, deneb):
    one = young("Alcor", 12)
    assert differs_words(one, mira, ago(10), Parents(deneb, mira)) == (
        "born 13 November 2026, no dam and sire unknown"
    )
    same = young("Mizar", 10, dam=mira, sire=deneb)
    assert differs_words(same, mira, ago(10), Parents(deneb, mira)) == ""


# ------------------------------------------------------------------------------- joined


def test_young_on_record_become_pups_as_they_are_with_day_dam_and_sire_of_the_birth(mira, deneb):
    alcor = young("Alcor", 11, sex="F", markings="ring")
    litter = birth(mira, PupFacts(alive=False), young=[alcor], parents=Parents(deneb))
    joined = Pup.objects.get(animal=alcor)
    assert (joined.number, joined.sex, joined.markings, joined.alive, joined.is_joined) == (
        1,
        "F",
        "ring",
        True,
        True,
    )
    now = anew(alcor)
    assert (now.code, now.dam, now.sire, now.born_on) == (alcor.code, mira, deneb, ago(10))
    assert Animal.objects.count() == 3
    assert litter.outcome.kind == "some_dead"
    assert now.measurements.count() == 0


def test_one_that_died_that_day_is_counted_as_dead(mira):
    dead = young("Alcor", 10, dam=mira, state="died", state_on=ago(10))
    later = young("Mizar", 10, dam=mira, state="died", state_on=ago(3))
    litter = birth(mira, young=[dead, later])
    assert [pup.alive for pup in litter.pups.all()] == [False, True]
    assert Outcome.objects.get().kind == "some_dead"


def test_a_sire_on_record_is_kept_when_the_keeper_says_so(mira, deneb):
    rigel = cast.male("Rigel")
    told, unknown = young("Alcor", 10, dam=mira, sire=rigel), young("Mizar", 10, dam=mira)
    birth(mira, young=[told, unknown], parents=Parents(deneb), keep_their_sires=True)
    assert [anew(one).sire for one in (told, unknown)] == [rigel, deneb]


def test_sires_that_nobody_names_leave_those_on_record(mira, deneb):
    alcor = young("Alcor", 10, dam=mira, sire=deneb)
    birth(mira, young=[alcor])
    assert anew(alcor).sire == deneb


def test_they_join_a_litter_that_is_on_record_and_take_its_sire(mira, deneb):
    litter = birth(mira, PupFacts(), parents=Parents(deneb))
    alcor = young("Alcor", 12)
    join_young(litter, [alcor], by=None)
    assert (anew(alcor).sire, anew(alcor).dam, anew(alcor).born_on) == (deneb, mira, ago(10))
    with pytest.raises(ValidationError, match=r"Alcor \(.*\) is pup 2 of litter 26-01 already"):
        join_young(litter, [anew(alcor)], by=None)


def test_one_that_was_dead_before_or_is_its_own_dam_is_refused_by_name(mira):
    dead = young("Alcor", 12, state="died", state_on=ago(11))
    with pytest.raises(ValidationError, match=r"Alcor \(.*\) died on 14 November 2026, before"):
        birth(mira, young=[dead])
    assert not Litter.objects.exists()


# ------------------------------------------------------------------------------- on the page


def sent(keeper, mother, **more):
    facts = {"dam": mother.pk, "born_on": ago(10).isoformat(), "once": new_token(keeper)}
    return facts | {"pups-TOTAL_FORMS": "0", "pups-INITIAL_FORMS": "0"} | more


def test_the_birth_page_offers_who_is_on_record_before_anybody_is_written_twice(
    as_keeper, keeper, mira
):
    alcor = young("Alcor", 10, dam=mira)
    answer = as_keeper.post(NEW, sent(keeper, mira, alive_count="2"))
    page = words(answer)
    assert answer.status_code == 200
    assert "1 animal of Mira is on record as born then." in page
    assert f'name="young" value="{alcor.pk}"' in page
    assert f'value="{mira.pk} {ago(10)}"' in page
    assert not Litter.objects.exists()
    more = {"young_for": f"{mira.pk} {ago(10)}", "young": [alcor.pk], "alive_count": "1"}
    as_keeper.post(NEW, sent(keeper, mira, **more))
    assert [pup.animal.name for pup in Litter.objects.get().pups.all()] == ["Alcor", "26-01-2"]


def test_whoever_is_asked_can_say_that_nobody_is_of_it(as_keeper, keeper, mira):
    young("Alcor", 10, dam=mira)
    more = {"young_for": f"{mira.pk} {ago(10)}", "alive_count": "1"}
    as_keeper.post(NEW, sent(keeper, mira, **more))
    assert Litter.objects.get().pups.count() == 1


def test_from_a_dams_page_they_are_offered_at_once(as_keeper, mira):
    young("Alcor", 0, dam=mira)
    page = words(as_keeper.get(f"{NEW}?dam={mira.pk}"))
    assert "Young on record" in page
    assert "Alcor" in page


def test_the_join_page_shows_what_differs_and_joins(as_keeper, keeper, mira, deneb):
    litter = birth(mira, PupFacts(), parents=Parents(deneb))
    alcor = young("Alcor", 12)
    address = reverse("litters:join", args=[litter.pk])
    page = words(as_keeper.get(address))
    assert "on record born 13 November 2026, no dam and sire unknown" in page
    nobody = as_keeper.post(address, {"once": new_token(keeper)})
    assert nobody.context["form"].errors["young"]
    answer = as_keeper.post(address, {"young": [alcor.pk], "once": new_token(keeper)}, follow=True)
    assert "1 animal on record joined to litter 26-01." in words(answer)


# ------------------------------------------------------------------------------- after an import


def brought_in(mira):
    vega = cast.female("Vega")
    for name, days, dam in [
        ("A1", 400, mira),
        ("A2", 399, mira),
        ("A3", 398, mira),
        ("B1", 100, mira),
        ("C1", 400, vega),
    ]:
        young(name, days, dam=dam)
    cast.ray("No day", dam=mira, born_on=cast.day("2025-01-01"), born_precision="month")
    return vega


def shown(found):
    return [(one.dam.name, one.born_on, [y.name for y in one.young]) for one in found]


def test_young_of_one_dam_within_two_days_are_one_litter(mira):
    vega = brought_in(mira)
    assert shown(found_litters()) == [
        ("Mira", ago(100), ["B1"]),
        (vega.name, ago(400), ["C1"]),
        ("Mira", ago(400), ["A1", "A2", "A3"]),
    ]


def test_all_of_them_become_litters_and_none_is_left(mira):
    brought_in(mira)
    animals = Animal.objects.count()
    made = make_litters(found_litters(), today=clock.today(), by=None)
    assert [(one.code, one.pups.count()) for one in made.litters] == [
        ("25-01", 3),
        ("25-02", 1),
        ("26-01", 1),
    ]
    assert made.refused == ()
    assert not any_found()
    assert Animal.objects.count() == animals
    assert {one.born_on for one in Animal.objects.filter(call_name__startswith="A")} == {ago(400)}


def test_one_that_cannot_be_is_left_and_said_and_the_others_are_made(mira):
    brought_in(mira)
    Animal.objects.filter(call_name="Vega").update(sex="U")
    made = make_litters(found_litters(), today=clock.today(), by=None)
    assert len(made.litters) == 2
    assert "Vega is not recorded as a female." in made.refused[0]
    assert [one.dam.name for one in found_litters()] == ["Vega"]


def test_where_a_litter_is_near_they_may_be_of_it_and_no_second_is_made(as_keeper, mira):
    litter = birth(mira, PupFacts(), days=100)
    young("Alcor", 95, dam=mira)
    assert [one.near for one in found_litters()] == [litter]
    page = words(as_keeper.get(FOUND))
    assert "Make it a litter" not in page
    assert reverse("litters:join", args=[litter.pk]) in page


def test_the_page_makes_one_or_all_with_one_tap_and_undo_takes_all_back(as_keeper, keeper, mira):
    brought_in(mira)
    index = reverse("litters:index")
    assert "Make litters of young on record" in words(as_keeper.get(index))
    page = words(as_keeper.get(FOUND))
    assert "Make litters of all 3" in page
    assert page.count("Make it a litter") == 3
    once = new_token(keeper)
    as_keeper.post(FOUND, {"make": f"{mira.pk}:{ago(100)}", "once": once})
    as_keeper.post(FOUND, {"make": f"{mira.pk}:{ago(100)}", "once": once})
    assert [one.code for one in Litter.objects.all()] == ["26-01"]
    answer = as_keeper.post(FOUND, {"make": "all", "once": new_token(keeper)}, follow=True)
    assert "2 litters made of young on record: 25-01, 25-02." in words(answer)
    assert "None left" in words(answer)
    assert "Make litters of young on record" not in words(as_keeper.get(index))
    as_keeper.post(reverse("program:undo", args=[Act.objects.latest("pk").pk]))
    assert [one.code for one in Litter.objects.filter(withdrawn_at__isnull=True)] == ["26-01"]
    assert len(found_litters()) == 2
    assert anew(Animal.objects.get(call_name="A2")).born_on == ago(399)


@pytest.mark.parametrize("word", ["", "x", "1:2026-01-01", "²"])
def test_a_button_for_what_is_not_there_makes_nothing_and_says_so(as_keeper, mira, word):
    young("Alcor", 10, dam=mira)
    page = words(as_keeper.post(FOUND, {"make": word}))
    assert "These stand in a litter by now." in page
    assert not Litter.objects.exists()


def test_the_result_of_an_import_leads_to_them(as_keeper, owner):
    text = "code,sex,dam,born\nM1,F,,2020-01-01\nP1,F,M1,2024-05-01\nP2,M,M1,2024-05-02\n"
    as_keeper.post(reverse("records:index"), {"pasted": text})
    draft = ImportDraft.objects.get()
    as_keeper.post(reverse("records:write", args=[draft.pk]))
    page = words(as_keeper.get(reverse("records:write", args=[draft.pk])))
    assert "1 litter can be made of them" in page
    assert FOUND in page
