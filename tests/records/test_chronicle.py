"""Chronicles: what happened to an animal and in the program, in order, by kind and day."""

import datetime
import re

import pytest
import time_machine
from auditlog.context import set_actor
from django.urls import reverse

from breeding.animals.models import Animal, Measurement
from breeding.buyers import hand_overs
from breeding.buyers.services import add_contact, reserve_animal
from breeding.housing.looks import record_look
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.housing.water.services import record_water_test
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.services import record_scan, separate
from breeding.program import clock
from breeding.program.models import Person
from breeding.program.services import withdraw
from tests import cast
from tests.cast import day, pair, see
from tests.everything import picture
from tests.lists import plain
from tests.records.chronicles import CHRONICLE, TODAY, entries, own, text, told

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _late_in_2026():
    with time_machine.travel(TODAY, tick=False):
        yield


@pytest.fixture(scope="module")
def written(kept_for_the_file):
    """A year of Mira, written down on the days on which it happened, by Sam."""
    with time_machine.travel(TODAY, tick=False):
        cast.owner()
        keeper = cast.keeper()
        # One whom an owner lets see buyers: they stand in the year that is told here.
        Person.objects.filter(pk=cast.viewer().pk).update(sees_buyers=True)
    mira = deneb = None

    def on(text, hour=18):
        return time_machine.travel(
            datetime.datetime.fromisoformat(f"{text}T{hour:02}:00+00:00"), tick=False
        )

    with set_actor(keeper):
        with on("2025-11-20"):
            mira = cast.female("Mira", born_on=day("2022-05-03"), born_precision="day")
            deneb = cast.male("Deneb")
            pool = Tank.objects.create(name="Pool")
            bay = Tank.objects.create(name="Bay")
            move_animal(mira, pool, on=day("2025-11-20"), by=keeper)
        with on("2026-02-01"):
            pairing = pair(mira, deneb, "2026-02-01")
        with on("2026-02-03", 20):
            see(mira, datetime.datetime(2026, 2, 3, 19, 30, tzinfo=datetime.UTC), male=deneb)
        with on("2026-02-10"):
            separate(
                pairing, on=day("2026-02-10"), today=day("2026-02-10"), moved="male", by=keeper
            )
        with on("2026-03-15"):
            cast.animals.add_measurement(
                mira, by=keeper, on=day("2026-03-15"), disc_width_mm=382, note="after feeding"
            )
        with on("2026-04-02"):
            record_scan(
                female=mira, on=day("2026-04-02"), positive=True, number_seen=3,
                by=keeper, today=day("2026-04-02"),
            )  # fmt: skip
            move_animal(mira, bay, on=day("2026-04-02"), by=keeper)
        with on("2026-05-20"):
            record_birth(
                dam=mira,
                born_on=day("2026-05-20"),
                pups=[PupFacts(), PupFacts(alive=False)],
                parents=cast.Parents(deneb, mira),
                today=day("2026-05-20"),
                by=keeper,
            )
        with on("2026-09-01"):
            kim = add_contact(name="Kim Vale", by=keeper)
            reserve_animal(mira, kim, by=keeper, on=day("2026-09-01"))
    return mira.pk


@pytest.fixture
def year(db, written):
    return Animal.objects.get(pk=written)


@pytest.fixture
def owner(db, written):
    return Person.objects.get(username="jo")


@pytest.fixture
def keeper(db, written):
    return Person.objects.get(username="sam")


@pytest.fixture
def viewer(db, written):
    return Person.objects.get(username="kit")


A_YEAR = [
    "2026-09-01 reserved for Kim Vale",
    "2026-05-20 gave birth to 26-01: 2 pups, 1 of them dead, sire Deneb",
    "2026-04-02 scanned: 3 pups seen",
    "2026-04-02 moved to Bay",
    "2026-03-15 measured: 38.2 cm wide",
    "2026-02-10 taken apart from Deneb: the male was moved",
    "2026-02-03 Mating with Deneb",
    "2026-02-01 put together with Deneb",
    "2025-11-20 moved to Pool",
    "2022-05-03 born",
]


def test_a_year_of_a_female_is_told_newest_first(as_viewer, year):
    assert told(as_viewer, own(year)) == A_YEAR


def test_last_spring_is_a_first_and_a_last_day(as_viewer, year):
    spring = told(as_viewer, own(year), since="2026-03-01", until="2026-05-31")
    assert spring == A_YEAR[1:5]
    assert told(as_viewer, own(year), since="2026-03-15", until="2026-03-15") == A_YEAR[4:5]
    assert told(as_viewer, own(year), since="2026-02-03", until="2026-02-03") == A_YEAR[6:7]


def test_it_stands_under_years_and_months(as_viewer, year):
    years = as_viewer.get(own(year)).context["told"].years
    assert [(one.number, [month.words for month in one.months]) for one in years] == [
        (2026, ["September", "May", "April", "March", "February"]),
        (2025, ["November"]),
        (2022, ["May"]),
    ]


def test_it_is_asked_for_by_year_and_by_kind_with_plain_links(as_viewer, year):
    assert told(as_viewer, own(year), year=2025) == A_YEAR[8:9]
    assert told(as_viewer, own(year), kind="moved") == [A_YEAR[3], A_YEAR[8]]
    assert told(as_viewer, own(year), kind="moved", year=2026) == [A_YEAR[3]]
    page = as_viewer.get(own(year), {"year": 2026}).content.decode()
    assert "?year=2026&amp;kind=moved" in page
    fresh = as_viewer.get(own(year)).content.decode()
    assert re.findall(r"\?year=(\d{4})", fresh) == ["2026", "2025", "2024", "2023", "2022"]


def test_each_kind_says_how_many_there_are_whichever_is_shown(as_viewer, year):
    counts = as_viewer.get(own(year), {"kind": "seen"}).context["told"].counts
    assert {kind.key: number for kind, number in counts.items()} == {
        "born": 1, "measured": 1, "moved": 2, "seen": 1, "paired": 2, "scanned": 1, "birth": 1,
        "reserved": 1,
    }  # fmt: skip
    assert "moved 2" in text(as_viewer, own(year), kind="seen")


def test_a_male_is_told_of_with_the_female_named(as_viewer, year):
    deneb = Animal.objects.get(call_name="Deneb")
    assert told(as_viewer, own(deneb))[:4] == [
        "2026-05-20 his litter 26-01 born to Mira: 2 pups, 1 of them dead",
        "2026-02-10 taken apart from Mira: the male was moved",
        "2026-02-03 Mating with Mira",
        "2026-02-01 put together with Mira",
    ]


def test_a_pup_is_born_to_its_parents_in_its_litter(as_viewer, year):
    pup = Animal.objects.get(code="26-01-1")
    assert told(as_viewer, own(pup)) == [
        "2026-05-20 moved to Bay",
        "2026-05-20 born to Mira and Deneb, in litter 26-01",
    ]


def test_what_was_seen_says_when_by_whom_and_links_to_its_page(as_viewer, year):
    (seen,) = entries(as_viewer, own(year), kind="seen")
    assert (f"{seen.time:%H:%M}", seen.told.address) == (
        "19:30",
        reverse("pairings:female", args=[year.pk]),
    )
    (measured,) = entries(as_viewer, own(year), kind="measured")
    assert (str(measured.by), measured.late_words, measured.told.note) == (
        "Sam",
        "",
        "after feeding",
    )
    page = as_viewer.get(own(year), {"kind": "paired"}).content.decode()
    deneb = Animal.objects.get(call_name="Deneb")
    assert f'with <a href="{deneb.get_absolute_url()}">Deneb</a>' in page


def test_what_was_written_late_says_how_late(as_viewer, year):
    cast.animals.add_measurement(year, by=None, on=day("2026-10-30"), weight_g=900)
    assert entries(as_viewer, own(year))[0].late_words == (
        "written down 21 days later, on 20 November 2026"
    )
    cast.animals.add_measurement(year, by=None, on=day("2026-11-18"), weight_g=900)
    assert entries(as_viewer, own(year))[0].late_words == ""


def test_a_corrected_record_says_what_it_was_by_whom_and_when(as_viewer, owner, year):
    measurement = year.measurements.get()
    measurement.disc_width_mm = 392
    with set_actor(owner):
        measurement.save()
    correction, *_ = entries(as_viewer, own(year))
    assert (correction.kind.key, str(correction.by)) == ("corrected", "Jo")
    assert correction.told.changes == ["disc width: from 38.2 cm to 39.2 cm"]
    (measured,) = entries(as_viewer, own(year), kind="measured")
    (change,) = measured.changes
    assert (str(change.by), change.at) == ("Jo", TODAY)
    assert change.words == ["disc width: from 38.2 cm to 39.2 cm"]
    assert "Jo, Fri 20 Nov 2026, 15:00: disc width: from 38.2 cm to 39.2 cm" in text(
        as_viewer, own(year), kind="measured"
    )


def test_what_is_filled_in_as_things_go_on_is_no_correction(as_viewer, year):
    assert entries(as_viewer, own(year), kind="corrected") == []
    assert [one.told.lead for one in entries(as_viewer, own(year)) if one.changes] == []
    stay = Stay.objects.get(animal=year, until=day("2026-04-02"))
    stay.until = day("2026-04-01")
    stay.save()
    (correction,) = entries(as_viewer, own(year), kind="corrected")
    assert correction.told.changes == ["until: from 2 April 2026 to 1 April 2026"]


def test_a_withdrawn_record_is_shown_when_asked_for_with_its_reason(as_viewer, owner, year):
    with set_actor(owner):
        withdraw(year.sightings.get(), by=owner, now=clock.now(), reason="It was Vega.")
    assert entries(as_viewer, own(year), kind="seen") == []
    (seen,) = entries(as_viewer, own(year), kind="seen", withdrawn="on")
    assert seen.gone_words == "withdrawn: It was Vega. (Jo, 20 November 2026)"
    assert seen.changes == ()
    page = as_viewer.get(own(year), {"kind": "seen", "withdrawn": "on"}).content.decode()
    assert '<p class="withdrawn">' in page
    (correction,) = entries(as_viewer, own(year), kind="corrected")
    assert correction.told.changes == ["withdrawn: It was Vega."]
    said = plain(f"{correction.told.lead}{correction.told.rest}")
    assert said == "withdrawn: Mating with Deneb, 3 February 2026"


def test_a_record_brought_back_counts_again_and_says_so(as_viewer, owner, year):
    sighting = year.sightings.get()
    withdraw(sighting, by=owner, now=clock.now(), reason="It was Vega.")
    sighting.withdrawn_at, sighting.withdrawn_by, sighting.withdrawn_reason = None, None, ""
    sighting.save()
    assert len(entries(as_viewer, own(year), kind="seen")) == 1
    back, _ = entries(as_viewer, own(year), kind="corrected")
    assert back.told.changes == ["brought back; it had been withdrawn: It was Vega."]


def test_a_measurement_that_was_withdrawn_is_told_when_the_withdrawn_are_asked(as_viewer, year):
    Measurement.objects.update(withdrawn_at=clock.now(), withdrawn_reason="It was Vega.")
    assert entries(as_viewer, own(year), kind="measured") == []
    assert len(entries(as_viewer, own(year), kind="measured", withdrawn="on")) == 1


def test_a_picture_is_shown_small_and_one_without_a_day_says_so(as_viewer, year):
    photograph = cast.animals.add_photograph(
        year, picture(), by=None, caption="from above", taken_on=day("2026-06-01")
    )
    unknown = cast.animals.add_photograph(year, picture(), by=None)
    newest, dated = entries(as_viewer, own(year), kind="pictured")
    assert (newest.told.picture, newest.told.day_words) == (
        unknown,
        "the day of the picture is unknown",
    )
    assert (dated.on, dated.told.note) == (day("2026-06-01"), "from above")
    page = as_viewer.get(own(year)).content.decode()
    assert reverse("animals:thumbnail", args=[photograph.pk]) in page


def test_it_went_and_came_back_and_no_state_says_it_a_second_time(as_viewer, keeper, year):
    alya = cast.female("Alya", born_on=day("2024-01-01"), born_precision="day")
    kim = add_contact(name="Kim", by=keeper)
    with set_actor(keeper):
        gone = hand_overs.hand_over(
            alya,
            kim,
            by=keeper,
            program=cast.program_now(),
            on=day("2026-10-01"),
            today=day("2026-11-20"),
            transport="own_car",
            has_read_cautions=True,
        )
        hand_overs.take_back(
            gone, on=day("2026-11-01"), today=day("2026-11-20"), because="no room", by=keeper
        )
    assert told(as_viewer, own(alya)) == [
        "2026-11-01 came back from Kim: no room",
        "2026-10-01 went to Kim, own car",
        "2024-01-01 born",
    ]
    returned, *_ = entries(as_viewer, own(alya))
    assert (str(returned.by), returned.written_at) == ("Sam", TODAY)


def test_the_animals_page_leads_to_its_chronicle(as_viewer, year):
    page = as_viewer.get(year.get_absolute_url()).content.decode()
    assert f'<a href="{own(year)}">All that was written of it, by day</a>' in page


def test_the_programs_chronicle_names_who_it_is_about(as_viewer, year):
    assert told(as_viewer, CHRONICLE)[:4] == [
        "2026-09-01 Kim Vale: written down as a contact",
        "2026-09-01 Mira: reserved for Kim Vale",
        "2026-05-20 Mira: gave birth to 26-01: 2 pups, 1 of them dead, sire Deneb",
        "2026-05-20 26-01-1: moved to Bay",
    ]


def test_tanks_and_their_water_have_their_place_in_it(as_viewer, year, keeper):
    bay = Tank.objects.get(name="Bay")
    record_water_test(bay, tested_at=clock.now(), now=clock.now(), by=keeper, ph=7)
    record_look(bay, on=day("2026-11-19"), today=day("2026-11-20"), by=keeper)
    assert told(as_viewer, CHRONICLE)[:2] == [
        "2026-11-20 Bay: water tested: pH 7",
        "2026-11-19 Bay: looked at: all in it, and nothing to see",
    ]
    (made,) = [one for one in entries(as_viewer, CHRONICLE, kind="tanks") if "Bay" in one.told.rest]
    assert (made.told.lead, str(made.by)) == ("written down", "Sam")


def test_it_is_searched_by_person_by_day_and_by_day_of_writing(as_keeper, owner, year):
    with set_actor(owner):
        cast.animals.add_measurement(year, by=owner, on=day("2026-03-20"), weight_g=1200)
    late = "2026-03-20 Mira: measured: 1.20 kg"
    assert told(as_keeper, CHRONICLE, by=owner.pk, kind="measured") == [late]
    assert late not in told(as_keeper, CHRONICLE, by=Person.objects.get(username="sam").pk)
    assert late in told(as_keeper, CHRONICLE, since="2026-03-16", until="2026-03-31")
    assert told(as_keeper, CHRONICLE, written_since="2026-11-20", kind="measured") == [late]
    assert late not in told(as_keeper, CHRONICLE, written_until="2026-11-19")
    both = {"since": "2026-03-20", "until": "2026-03-20", "written_until": "2026-03-21"}
    assert told(as_keeper, CHRONICLE, **both) == []


def test_it_is_searched_by_animal_and_by_word(as_viewer, year):
    assert told(as_viewer, CHRONICLE, q="after feeding") == [
        "2026-03-15 Mira: measured: 38.2 cm wide"
    ]
    assert told(as_viewer, CHRONICLE, animal="mira") == [
        one[:11] + f"Mira: {one[11:]}" for one in A_YEAR
    ]
    assert told(as_viewer, CHRONICLE, q="nobody says this") == []


def test_what_is_wrong_in_the_address_is_said_and_nothing_breaks(as_keeper, year):
    for asked, said in (
        ({"kind": "eaten"}, "“eaten” is not possible for “Kind”"),
        ({"year": "last"}, "“last” is not possible for “Year”; allowed is"),
        ({"year": "99999"}, "“99999” is not possible for “Year”"),
        ({"since": "spring"}, "“spring” is not possible for “Happened since”"),
        (
            {"since": "2026-05-01", "until": "2026-03-01"},
            "1 March 2026 is before 1 May 2026; the second is the later.",
        ),
        ({"before": "yesterday"}, "“yesterday” is not a place in a chronicle"),
        ({"before": "999999999999999999.1.1"}, "is not a place in a chronicle"),
    ):
        for address in (own(year), CHRONICLE):
            assert said in text(as_keeper, address, **asked), asked
            assert "Nothing is shown: something cannot be searched for." in text(
                as_keeper, address, **asked
            )
    assert "There is no “Wezen” here; allowed is the code or the name" in text(
        as_keeper, CHRONICLE, animal="Wezen"
    )
    assert "“77” is not possible for “Written by”" in text(as_keeper, CHRONICLE, by="77")
    written = {"written_since": "2026-05-01", "written_until": "2026-03-01"}
    assert "1 March 2026 is before 1 May 2026" in text(as_keeper, CHRONICLE, **written)


def test_how_buyers_were_changed_is_for_keepers(as_viewer, as_keeper, owner, year):
    kept = year.reservations.get()
    kept.note = "rang on Sunday"
    with set_actor(owner):
        kept.save()
    assert entries(as_viewer, own(year), kind="corrected") == []
    (kept_for_viewers,) = entries(as_viewer, own(year), kind="reserved")
    assert kept_for_viewers.changes == ()
    (correction,) = entries(as_keeper, own(year), kind="corrected")
    assert correction.told.changes == ["note: from nothing to rang on Sunday"]


def test_people_settings_and_imports_are_for_keepers(as_viewer, as_keeper, owner, year):
    cast.the_program(length_unit="in")
    for kind in ("people", "settings", "further", "imports"):
        assert entries(as_viewer, CHRONICLE, kind=kind) == []
    (changed,) = entries(as_keeper, CHRONICLE, kind="settings", q="Lantern", by="")[:1]
    assert changed.told.changes == ["length unit: from centimetres to inches"]
    assert entries(as_keeper, CHRONICLE, kind="people") != []


def test_lengths_are_said_in_the_units_of_the_program(as_viewer, year):
    cast.the_program(length_unit="in")
    assert "2026-03-15 measured: 15.0 in wide" in told(as_viewer, own(year))
