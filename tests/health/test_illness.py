"""What ails an animal, treatments and visits: their pages, the day, sheets and the chronicle."""

from io import BytesIO

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from breeding.agenda.queries import the_day
from breeding.health.illness.medicines import harmful_in
from breeding.health.illness.observing import end_observation, observe
from breeding.health.illness.said import treatments_said
from breeding.health.illness.standing import health_of
from breeding.health.illness.treating import Prescribed, treat
from breeding.health.illness.visiting import record_visit
from breeding.health.models import Observation, Treatment, Visit
from breeding.housing.models import Tank
from breeding.housing.services import give_up_tank, move_animal
from breeding.housing.water.services import record_water_test
from breeding.litters.raising.leaving import unwell_of
from breeding.program import clock
from breeding.program.problems.doubts import DoubtError
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from breeding.sheets.contents.draft import draft_sheet
from breeding.words.kinds import RAYS, KindWords
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
TODAY = cast.day("2026-11-25")
FISH = KindWords("fish", "fish", "standard length")
SURE = cast._Everything()


@pytest.fixture(autouse=True)
def _today():
    cast.the_program()
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def client():
    return cast.signed_in(cast.keeper())


def willow(since="2026-11-20", until=None, hold_until=None, remedy="Willow drops", **facts):
    days = [cast.day(one) if one else None for one in (since, until, hold_until)]
    return Prescribed(remedy, *days, **facts)


def treated(who, **facts):
    return treat(who, willow(**facts), today=TODAY, by=None, sure=SURE, reason="said so")


def lines(*kinds):
    day = the_day(the_program(), today=clock.today())
    return [line for line in day.lines if line.kind.key in kinds]


# ------------------------------------------------------------------------------ what ails it


def test_who_what_done_is_an_observation_since_today(client):
    mira = cast.female()
    assert "Mira" in words(client.get(reverse("health:observe"), {"animal": mira.pk}))
    page = client.post(
        reverse("health:observe"), {"animal": mira.pk, "kind": "breathing", "since_when": "today"}
    )
    assert page.status_code == 302
    one = Observation.objects.get()
    assert (one.animal, one.kind, one.since, one.over_on) == (mira, "breathing", TODAY, None)


@pytest.mark.parametrize(
    ("sent", "since"),
    [
        ({"since_when": "yesterday"}, "2026-11-24"),
        ({"since_when": "day", "since": "2026-11-02"}, "2026-11-02"),
        ({}, "2026-11-25"),
    ],
)
def test_since_when_is_a_tile_or_a_day(client, sent, since):
    mira = cast.female()
    client.post(reverse("health:observe"), {"animal": mira.pk, "kind": "skin", **sent})
    assert Observation.objects.get().since == cast.day(since)


def test_a_day_that_is_not_said_is_asked_for(client):
    mira = cast.female()
    sent = {"animal": mira.pk, "kind": "skin", "since_when": "day"}
    assert "Since which day? Choose it here." in words(client.post(reverse("health:observe"), sent))
    assert not Observation.objects.exists()


def test_bites_and_refused_food_lead_to_the_door_of_sightings(client):
    page = client.get(reverse("health:observe"), {"animal": cast.female().pk}).content.decode()
    assert reverse("pairings:log") + "?kind=fresh_bite_marks&amp;female=" in page
    assert reverse("pairings:log") + "?kind=off_food&amp;female=" in page


def test_it_stands_on_the_day_until_it_is_over_and_forbids_leaving(client):
    mira = cast.female()
    one = observe(mira, "swollen", since=TODAY, today=TODAY, by=None)
    (line,) = lines("unwell")
    assert (line.who, line.what, line.kind.rank) == ("Mira", "not well: swollen", 1)
    assert "more likely ill than pregnant" in line.why
    assert "Test the water first" in line.why
    assert unwell_of(mira, asof=TODAY) == ("to be well (swollen since 25 November 2026)",)
    client.post(reverse("health:over", args=[one.pk]), {"on": "2026-11-25"})
    one.refresh_from_db()
    assert (one.over_on, lines("unwell"), unwell_of(mira, asof=TODAY)) == (TODAY, [], ())


def test_the_same_twice_is_asked_about():
    mira = cast.female()
    observe(mira, "skin", since=cast.day("2026-11-02"), today=TODAY, by=None)
    with pytest.raises(DoubtError, match="is on record since 2 November 2026 and not over"):
        observe(mira, "skin", since=TODAY, today=TODAY, by=None)


def test_a_picture_that_was_withdrawn_is_shown_no_more():
    out = BytesIO()
    Image.new("RGB", (400, 300), (90, 80, 70)).save(out, "JPEG")
    out.seek(0)
    one = observe(cast.female(), "skin", since=TODAY, today=TODAY, by=None, photograph=out)
    assert one.picture is not None
    withdraw(one.picture, by=None, now=clock.now(), reason="blurred")
    assert Observation.objects.get().picture is None


def test_a_resolved_illness_is_told_from_to(client):
    mira = cast.female()
    one = observe(mira, "skin", since=cast.day("2026-11-02"), today=TODAY, by=None)
    end_observation(one, on=cast.day("2026-11-20"), today=TODAY)
    page = words(client.get(reverse("records:chronicle")))
    assert ": spots or film on the skin, until 20 November 2026" in page
    assert ": spots or film on the skin, since 2 November 2026, is over" in page


# ------------------------------------------------------------------------------- treatments


def test_a_remedy_that_kills_rays_is_asked_about_and_named(client):
    mira = cast.female()
    sent = {"animal": mira.pk, "remedy": "Copper sulphate", "since": "2026-11-25"}
    page = client.post(reverse("health:treat"), sent)
    assert "“Copper sulphate”: By common practice copper kills rays" in words(page)
    assert not Treatment.objects.exists()
    (doubt,) = _doubts(mira, "Copper sulphate")
    client.post(
        reverse("health:treat"), sent | {"sure": doubt.mark, "sure_reason": "Dr. Alder says so"}
    )
    one = Treatment.objects.get()
    assert one.reason == "Dr. Alder says so"
    page = words(client.get(reverse("health:treatment", args=[one.pk])))
    assert "A veterinarian decides on every dose." in page
    assert "<b>Given all the same:</b> Dr. Alder says so" in page


def _doubts(who, remedy):
    with pytest.raises(DoubtError) as asked:
        treat(who, Prescribed(remedy, TODAY), today=TODAY, by=None)
    return asked.value.doubts


@pytest.mark.parametrize(
    ("remedy", "names"),
    [
        ("COPPER(II) chelate", ["copper"]),
        ("Kupfersulfat", ["copper"]),
        ("trichlorfon 80 %", ["an organophosphate"]),
        ("Dimethoate mix", ["an organophosphate"]),
        ("37 % formalin", ["formalin"]),
        ("Salt", []),
        ("Minicopperish", []),
    ],
)
def test_medicines_are_known_by_how_their_words_begin(remedy, names):
    assert harmful_in(remedy, RAYS) == names
    assert harmful_in(remedy, FISH) == []


def test_without_a_prescriber_it_is_recorded_as_such_and_the_page_says_who_decides(client):
    one = treated(cast.female(), dose="as said")
    page = words(client.get(reverse("health:treatment", args=[one.pk])))
    assert "prescribed by nobody on record: a veterinarian decides on every dose" in page


def test_ending_it_is_one_tap_and_asks_once_for_the_hold(client):
    mira = cast.female()
    one = treated(mira)
    end = reverse("health:end", args=[one.pk])
    page = client.post(end, {"until": "2026-11-25", "hold_until": ""})
    assert "Ask the veterinarian how long" in words(page)
    client.post(end, {"until": "2026-11-25", "hold_until": "2026-12-25"})
    one.refresh_from_db()
    assert (one.until, one.hold_until) == (TODAY, cast.day("2026-12-25"))


def test_the_day_says_when_a_treatment_and_a_hold_end():
    treated(cast.female(), until="2026-11-27", hold_until="2026-12-10")
    (line,) = lines("treatment_ends")
    assert (line.who, line.what) == ("Mira", "last day of Willow drops")
    assert line.on == cast.day("2026-11-27")
    assert lines("hold_ends") == []
    with time_machine.travel("2026-12-10 12:00:00Z", tick=False):
        (line,) = lines("hold_ends")
        assert line.what == "no longer held after Willow drops"
    with time_machine.travel("2027-01-10 12:00:00Z", tick=False):
        assert lines("hold_ends", "treatment_ends") == []


def test_a_tank_and_its_water_test_say_that_the_water_is_treated(client):
    bay = Tank.objects.create(name="Bay")
    move_animal(cast.female(), bay, on=cast.day("2026-11-01"), by=None)
    treated(bay, remedy="Formalin")
    page = words(client.get(bay.get_absolute_url()))
    assert "The water of Bay has been under treatment with <a" in page
    assert "formalin kills rays" in page
    test = record_water_test(bay, tested_at=clock.now(), now=clock.now(), by=None, ph=7)
    page = words(client.get(test.get_absolute_url()))
    assert "The water of Bay has been under treatment with <a" in page


# ---------------------------------------------------------------------------------- visits


def test_a_visit_that_asks_for_another_look_stands_on_the_day_until_the_next(client):
    mira = cast.female()
    sent = {"animal": mira.pk, "on": "2026-11-20", "by": "Dr. Alder", "found": "A film."}
    client.post(reverse("health:visit"), sent | {"look_again_on": "2026-11-28"})
    assert Visit.objects.get().found == "A film."
    (line,) = lines("visit_again")
    assert (line.who, line.on) == ("Mira", cast.day("2026-11-28"))
    record_visit(mira, on=TODAY, today=TODAY, recorded_by=None)
    assert lines("visit_again") == []


def test_nobody_looks_again_at_a_tank_that_was_given_up(client):
    pool = Tank.objects.create(name="Pool")
    seen = {"on": TODAY, "today": TODAY, "recorded_by": None}
    record_visit(pool, **seen, look_again_on=TODAY)
    assert len(lines("visit_again_tank")) == 1
    give_up_tank(pool, by=None, now=clock.now(), reason="cracked")
    assert lines("visit_again_tank") == []


def test_a_visit_or_treatment_is_of_one_animal_or_one_tank(client):
    mira, bay = cast.female(), Tank.objects.create(name="Bay")
    for both in ({}, {"animal": mira.pk, "tank": bay.pk}):
        page = client.post(reverse("health:visit"), {"on": "2026-11-20", **both})
        assert "Choose one: an animal, or a tank" in words(page)


# --------------------------------------------------------------------------------- sheets


def test_sheets_say_treatments_from_the_records_and_not_recorded_where_there_are_none():
    mira, vega = cast.female(), cast.female("Vega")

    def said(animal):
        facts = draft_sheet(animal, program=the_program(), by=None, on=TODAY).facts
        return facts.animal.treatments

    assert said(mira) == "not recorded"
    treated(mira, until="2026-11-22", hold_until="2026-11-24", against="a film on the skin")
    assert said(mira) == (
        "Willow drops from 20 November 2026 to 22 November 2026, against a film on the skin"
    )
    assert said(vega) == "none on record"


def test_many_animals_cost_no_more_queries_than_few():
    bay = Tank.objects.create(name="Bay")
    rays = [cast.female(f"Ray {number}") for number in range(30)]
    for one in rays:
        move_animal(one, bay, on=cast.day("2026-11-01"), by=None)
        treated(one)
    treated(bay)

    def asked(some):
        with CaptureQueriesContext(connection) as queries:
            assert all("Willow" in said for said in treatments_said(some, TODAY).values())
        return len(queries)

    assert asked([one.pk for one in rays[:2]]) == asked([one.pk for one in rays]) <= 4


def test_what_stands_on_the_page_of_an_animal_costs_no_more_with_a_long_history():
    mira = cast.female()

    def asked():
        with CaptureQueriesContext(connection) as queries:
            found = health_of(mira, TODAY)
        assert len(found.open) == len(found.treatments) == 1
        return len(queries)

    treated(mira)
    observe(mira, "skin", since=TODAY, today=TODAY, by=None)
    few = asked()
    for number in range(20):
        day = cast.ago(200 + number)
        Observation.objects.create(animal=mira, kind="pale", since=day, over_on=day)
        Treatment.objects.create(animal=mira, remedy=f"Drops {number}", since=day, until=day)
        Visit.objects.create(animal=mira, on=day)
    assert asked() == few <= 8
