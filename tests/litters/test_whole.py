"""A birth that never was goes whole, comes back whole, and is undone whole."""

from collections import Counter

import pytest
import time_machine
from auditlog.models import LogEntry
from django.apps import apps
from django.core.exceptions import ValidationError
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from breeding.agenda.queries import all_ahead, the_day
from breeding.agenda.sent.feed_events import publish
from breeding.animals.models import Animal, Measurement
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import add_measurement
from breeding.buyers.services import add_contact, reserve_animal
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.litters.births.joining import join_young
from breeding.litters.births.pups import bring_pup_back, withdraw_pup
from breeding.litters.births.whole import bring_birth_back, withdraw_birth
from breeding.litters.models import Litter, Pup
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.care.services import rest_after, tick_apart
from breeding.pairings.models import NurseryTick, Outcome, Rest
from breeding.pairings.season.exposure import exposure_of
from breeding.pairings.season.facts import gather
from breeding.pairings.season.past.closed import closed_seasons
from breeding.pairings.season.past.learned import learned_of_all
from breeding.pairings.season.reading import season_of
from breeding.program import clock
from breeding.program.acts.once import new_token
from breeding.program.models import Act
from breeding.program.queries import the_program
from breeding.sheets.services import issue_sheet
from breeding.sheets.standing import standing_of, withdraw_sheet
from tests import cast
from tests.cast import ago, pair, see, words
from tests.tries import tries

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


def birth(dam, *pups, days=5, **more):
    return record_birth(
        dam=dam,
        born_on=ago(days),
        pups=pups or (PupFacts(),),
        today=clock.today(),
        by=None,
        **more,
    )


def take(litter, reason="It was Vega", by=None):
    return withdraw_birth(Litter.objects.get(pk=litter.pk), by=by, now=clock.now(), reason=reason)


def give_back(litter):
    return bring_birth_back(Litter.objects.get(pk=litter.pk))


def rows():
    """Every fact of every room, as it stands; who may see what, and the tokens, are none."""
    rooms = ("animals", "housing", "pairings", "litters")
    models = [one for one in apps.get_models() if one._meta.app_label in rooms]
    return {
        model._meta.label: Counter(
            str(row)
            for row in model._base_manager.values_list(
                *[one.attname for one in model._meta.concrete_fields]
            )
        )
        for model in models
        if model.__name__ != "Revision"
    }


def counting():
    """How many rows of each kind count."""
    return {
        model.__name__: model._base_manager.filter(withdrawn_at__isnull=True).count()
        for model in (Animal, Measurement, Stay, Litter, Pup, Outcome, NurseryTick, Rest)
    }


# ------------------------------------------------------------------------------- withdrawn


def test_with_a_birth_goes_all_that_was_written_with_it_and_what_is_only_its_pups(mira, deneb):
    move_animal(mira, Tank.objects.create(name="Pool"), on=ago(90), by=None)
    before = counting()
    litter = birth(mira, PupFacts(disc_width_mm=98), PupFacts(), PupFacts(alive=False))
    add_measurement(Animal.objects.get(code="26-01-1"), by=None, on=ago(1), disc_width_mm=99)
    tick_apart(litter.outcome, on=ago(5), by=None)
    rest_after(litter.outcome, until=ago(-90), by=None)
    assert counting() == {
        **before,
        "Animal": before["Animal"] + 2,
        "Measurement": 2,
        "Stay": before["Stay"] + 2,
        "Litter": 1,
        "Pup": 3,
        "Outcome": 1,
        "NurseryTick": 1,
        "Rest": 1,
    }
    take(litter)
    assert counting() == before
    assert {one.withdrawn_reason for one in Pup.every.all()} == {"It was Vega"}


def told(program):
    """What the calendar tells and has not cancelled."""
    lines = all_ahead(program, today=clock.today())
    events = publish(lines, now=clock.now(), address=lambda line: "")
    return {one.summary for one in events if one.cancelled_at is None}


def test_her_season_is_open_again_and_day_and_calendar_ask_for_her(mira, deneb):
    program = the_program()
    pair(mira, deneb, 105, 95)
    see(mira, 100)
    litter = birth(mira, days=1)
    assert "Litter 26-01: pups on the floor" in told(program)
    assert not season_of(mira, program, asof=clock.today()).company
    take(litter)
    assert season_of(mira, program, asof=clock.today()).estimate.chance > 0.5
    assert {one.partition(":")[0] for one in told(program)} == {"Mira"}
    assert "Mira" in [one.who for one in the_day(program, today=clock.today()).lines]
    give_back(litter)
    assert "Litter 26-01: pups on the floor" in told(program)


def births_learned_from():
    facts = gather()
    closed = closed_seasons(facts, exposure_of(facts.together))
    learned = learned_of_all(closed, facts.profiles.every, facts.kinds, asof=clock.today())
    return sum(one.births for one, _ in learned.values())


def test_what_was_learned_from_it_is_forgotten_and_learned_again(mira, deneb):
    pair(mira, deneb, 121, 119)
    see(mira, 120)
    litter = birth(mira, days=10)
    assert births_learned_from() == 1
    take(litter)
    assert births_learned_from() == 0
    give_back(litter)
    assert births_learned_from() == 1


def test_young_a_reservation_and_an_issued_sheet_hold_it_back_by_name(mira, keeper):
    litter = birth(mira, PupFacts(sex="F"), PupFacts(), PupFacts(), days=800)
    first, second, third = Animal.objects.filter(dam=mira).order_by("code")
    cast.ray("Grandchild", dam=first, born_on=ago(100))
    reserve_animal(second, add_contact(by=None, name="Kim"), by=None, on=clock.today())
    sheet = issue_sheet(third, by=keeper, on=clock.today())
    with pytest.raises(ValidationError) as refused:
        take(litter)
    said = refused.value.messages[0]
    assert said.startswith(f"The birth of litter {litter.code} cannot be withdrawn, because ")
    for name in ("Grandchild", "Kim", sheet.number):
        assert name in said
    assert Litter.objects.get().is_withdrawn is False
    assert Animal.objects.filter(dam=mira).count() == 3


def test_a_withdrawn_sheet_goes_along_and_says_that_its_records_were_withdrawn(mira, keeper):
    litter = birth(mira)
    sheet = issue_sheet(Animal.objects.get(dam=mira), by=keeper, on=clock.today())
    withdraw_sheet(sheet, by=keeper, on=clock.today(), reason="It was Vega")
    take(litter)
    standing = standing_of(type(sheet).objects.get(pk=sheet.pk))
    assert standing.is_good is False
    assert "What was recorded of this animal is withdrawn" in standing.reasons


def test_an_animal_that_was_joined_stays_on_record_and_is_free_for_another_birth(mira):
    young = cast.ray("Alcor", dam=mira, born_on=ago(5))
    litter = birth(mira, PupFacts())
    join_young(litter, [young], by=None)
    take(litter)
    assert [one.name for one in Animal.objects.filter(dam=mira)] == ["Alcor"]
    other = birth(mira, PupFacts(), young=[young])
    assert other.pups.filter(animal=young).count() == 1


def test_the_code_of_a_withdrawn_birth_is_given_again(mira):
    take(birth(mira))
    litter = birth(mira, PupFacts(), PupFacts())
    assert [pup.animal.code for pup in litter.pups.all()] == ["26-01-1", "26-01-2"]


# ------------------------------------------------------------------------------- brought back


def test_a_birth_whose_place_is_taken_does_not_come_back(mira):
    litter = birth(mira)
    take(litter)
    birth(mira, days=4)
    with pytest.raises(ValidationError, match="a second birth 1 day apart is not possible"):
        give_back(litter)
    assert Litter.objects.get(pk=litter.pk).is_withdrawn


def test_a_birth_whose_code_is_taken_says_so(mira):
    litter = birth(mira)
    take(litter)
    birth(cast.female("Vega"))
    with pytest.raises(ValidationError, match="Another litter bears this code by now"):
        give_back(litter)


def test_a_pup_withdrawn_before_stays_out_when_the_birth_comes_back(mira):
    litter = birth(mira, PupFacts(), PupFacts())
    second = Pup.objects.select_related("litter__outcome", "animal").get(number=2)
    withdraw_pup(second, by=None, now=clock.now(), reason="counted twice")
    with time_machine.travel("2026-11-25 12:05:00Z", tick=False):
        take(litter)
    give_back(litter)
    assert [one.code for one in Animal.objects.filter(dam=mira)] == ["26-01-1"]
    pup = Pup.every.select_related("litter__outcome", "animal").get(pk=second.pk)
    bring_pup_back(pup)
    assert Animal.objects.filter(dam=mira).count() == 2


fates = st.builds(
    PupFacts,
    alive=st.booleans(),
    sex=st.sampled_from(["F", "M", "U"]),
    disc_width_mm=st.none() | st.integers(60, 140),
    markings=st.sampled_from(["", "ring"]),
)


@settings(
    max_examples=tries(12),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(pups=st.lists(fates, min_size=1, max_size=5), premature=st.booleans(), later=st.booleans())
def test_recorded_withdrawn_and_brought_back_every_row_is_as_before(mira, pups, premature, later):
    Stay.every.filter(animal=mira).delete()
    move_animal(mira, Tank.objects.get_or_create(name="Pool")[0], on=ago(2000), by=None)
    born = ago(30 + 40 * Litter.objects.count())
    litter = record_birth(
        dam=mira, born_on=born, pups=pups, today=clock.today(), by=None, premature=premature
    )
    if later:
        for pup in litter.pups.filter(animal__isnull=False):
            add_measurement(pup.animal, by=None, on=born, girth_mm=150)
    before = rows()
    take(litter)
    assert rows() != before
    give_back(litter)
    assert rows() == before


# ------------------------------------------------------------------------------- undone


def send_birth(client, mira, *, pups, **more):
    sent = {
        "dam": mira.pk,
        "born_on": clock.today().isoformat(),
        "pups-TOTAL_FORMS": len(pups),
        "pups-INITIAL_FORMS": "0",
        "once": new_token(more.pop("keeper")),
    }
    for number, (fate, width) in enumerate(pups):
        sent |= {
            f"pups-{number}-fate": fate,
            f"pups-{number}-sex": "U",
            f"pups-{number}-disc_width_mm": width,
            f"pups-{number}-markings": "",
        }
    return client.post(reverse("litters:new"), sent | more)


def test_undo_in_the_receipt_takes_back_all_of_a_birth_and_frees_its_codes(
    as_keeper, keeper, mira, deneb
):
    rigel = cast.male("Rigel")
    move_animal(mira, Tank.objects.create(name="Pool"), on=ago(90), by=None)
    before = counting()
    shares = {"possible_sire_1": deneb.pk, "possible_share_1": "1/2"}
    shares |= {"possible_sire_2": rigel.pk, "possible_share_2": "1/2"}
    pups = [("alive", "9.8"), ("alive", ""), ("dead", "")]
    send_birth(as_keeper, mira, pups=pups, keeper=keeper, **shares)
    act = Act.objects.latest("pk")
    litter = Litter.objects.get()
    assert counting()["Animal"] == before["Animal"] + 2
    assert as_keeper.post(reverse("program:undo", args=[act.pk])).status_code == 302
    assert counting() == before
    assert season_of(mira, the_program(), asof=clock.today()).last_outcome is None
    send_birth(as_keeper, mira, pups=pups, keeper=keeper, **shares)
    again = Litter.objects.get(withdrawn_at__isnull=True)
    assert (again.code, again.pk != litter.pk) == (litter.code, True)
    assert [pup.animal and pup.animal.code for pup in again.pups.all()] == [
        "26-01-1",
        "26-01-2",
        None,
    ]


def test_undoing_a_correction_puts_every_row_back(as_keeper, keeper, mira, deneb):
    move_animal(mira, Tank.objects.create(name="Pool"), on=ago(90), by=None)
    vega = cast.female("Vega")
    litter = birth(mira, PupFacts(disc_width_mm=98), PupFacts(), parents=Parents(deneb))
    before = rows()
    answer = as_keeper.post(
        reverse("program:change", args=["litter", litter.pk]),
        {
            "dam": vega.pk,
            "born_on": ago(7).isoformat(),
            "sire": cast.male("Rigel").pk,
            "note": "",
            "once": new_token(keeper),
        },
    )
    assert answer.status_code == 302
    pup = Animal.objects.get(code="26-01-1")
    assert (pup.dam, pup.sire.name, pup.born_on) == (vega, "Rigel", ago(7))
    as_keeper.post(reverse("program:undo", args=[Act.objects.latest("pk").pk]))
    after = rows()
    after["animals.Animal"] -= Counter(one for one in after["animals.Animal"] if "Rigel" in one)
    assert after == before


def test_every_change_of_it_is_in_the_history_under_one_act(as_keeper, keeper, mira):
    litter = birth(mira, PupFacts(), PupFacts())
    as_keeper.post(
        reverse("program:withdraw", args=["litter", litter.pk]),
        {"reason": "It was Vega", "once": new_token(keeper)},
    )
    act = Act.objects.latest("pk")
    models = Counter(entry.content_type.model for entry in LogEntry.objects.filter(cid=act.key))
    assert models == {"litter": 1, "outcome": 1, "pup": 2, "animal": 2}


def test_the_page_says_what_goes_and_what_holds_it_back(as_keeper, mira):
    litter = birth(mira, PupFacts(disc_width_mm=98), PupFacts(), PupFacts(alive=False))
    address = reverse("program:withdraw", args=["litter", litter.pk])
    page = words(as_keeper.get(address))
    assert "With it go 3 pups, 2 animals and 1 record of theirs" in page
    assert "cannot go" not in page
    first = Animal.objects.get(code="26-01-1")
    reserve_animal(first, add_contact(by=None, name="Kim"), by=None, on=clock.today())
    assert "It cannot go while this rests on it: reservation" in words(as_keeper.get(address))
    answer = words(as_keeper.post(address, {"reason": "It was Vega"}))
    assert "cannot be withdrawn, because reservation" in answer


class TestWhatWasWithdrawnWithABirth:
    """It is read where it stood, and comes back with the birth alone."""

    @pytest.fixture
    def litter(self, mira, deneb, keeper):
        pups = [PupFacts(), PupFacts()]
        parents = Parents(deneb, mira)
        made = record_birth(
            dam=mira, born_on=ago(3), today=ago(0), pups=pups, parents=parents, by=None
        )
        return withdraw_birth(made, by=keeper, now=clock.now(), reason="It was Vega")

    def test_the_litter_says_whose_it_was(self, as_keeper, litter):
        page = words(as_keeper.get(litter.get_absolute_url()))
        assert "Deneb" in page.split("Sire")[1].split("Gestation")[0]

    @pytest.mark.parametrize(
        "route", ["litters:after", "litters:add_pup", "litters:join", "offers:sales"]
    )
    def test_its_further_pages_lead_to_it(self, as_keeper, litter, route):
        answer = as_keeper.get(reverse(route, args=[litter.pk]))
        assert answer.headers["location"] == litter.get_absolute_url()

    def test_it_is_offered_to_nobody(self, as_keeper, litter):
        answer = as_keeper.post(reverse("offers:sales", args=[litter.pk]), {"save": "1"})
        assert "A withdrawn birth is not offered" in words(answer)

    def test_its_outcome_says_what_brings_it_back_and_does_not_come_alone(self, as_keeper, litter):
        page = words(
            as_keeper.get(reverse("program:withdraw", args=["outcome", litter.outcome_id]))
        )
        assert "It went with more than itself" in page
        assert reverse("program:withdraw", args=["litter", litter.pk]) in page
        answer = as_keeper.post(reverse("program:bring_back", args=["outcome", litter.outcome_id]))
        assert answer.status_code == 422
        assert f"bring back {litter}, and this comes back with it." in words(answer)
        assert Outcome.objects.get().is_withdrawn

    def test_a_pup_s_animal_does_not_come_alone(self, as_keeper, litter):
        animal = Animal.every.filter(dam=litter.dam).first()
        answer = as_keeper.post(reverse("program:bring_back", args=["animal", animal.pk]))
        assert answer.status_code == 422
        assert f"bring back {litter}, and this comes back with it." in words(answer)
        assert Animal.every.get(pk=animal.pk).is_withdrawn

    def test_a_pup_s_animal_comes_back_with_its_pup(self, as_keeper, litter):
        bring_birth_back(litter)
        pup = Pup.objects.first()
        withdraw_pup(pup, by=None, now=clock.now(), reason="never was")
        page = words(as_keeper.get(reverse("program:withdraw", args=["animal", pup.animal_id])))
        assert "It went with more than itself" in page
        assert reverse("program:withdraw", args=["pup", pup.pk]) in page
        bring_pup_back(Pup.every.get(pk=pup.pk))
        assert Animal.objects.filter(pk=pup.animal_id).exists()
