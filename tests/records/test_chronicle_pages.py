"""Chronicles of little or much: their pages, their questions, what is kept from them."""

import datetime
import re

import pytest
import time_machine
from auditlog.context import set_actor
from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Animal, Measurement
from breeding.animals.services import change_state
from breeding.health.models import Death
from breeding.housing.models import Look, Tank
from breeding.pairings.services import record_scan
from breeding.program import clock
from breeding.program.models import Person
from breeding.program.services import withdraw
from breeding.records.chronicle.asked import Asked, Place
from breeding.records.chronicle.page import chronicle_of
from tests import cast
from tests.cast import day, pair, see
from tests.lists import plain
from tests.records.chronicles import CHRONICLE, TODAY, entries, own, text, told

pytestmark = pytest.mark.django_db


def weigh(animal, days):
    """A weight on each of these days from the beginning of 2024 on."""
    Measurement.objects.bulk_create(
        Measurement(
            animal=animal, on=day("2024-01-01") + datetime.timedelta(days=number), weight_g=1
        )
        for number in days
    )


@pytest.fixture
def as_viewer(viewer, as_viewer):
    """One whom an owner lets see buyers: they stand in the year that is told here."""
    Person.objects.filter(pk=viewer.pk).update(sees_buyers=True)
    return as_viewer


@pytest.fixture(autouse=True)
def _late_in_2026():
    with time_machine.travel(TODAY, tick=False):
        yield


def test_a_birth_is_told_no_more_exactly_than_it_is_known(as_viewer, owner):
    by_year = cast.female("Vega", born_on=day("2023-01-01"), born_precision="year")
    cast.animals.add_measurement(by_year, by=None, on=day("2023-01-09"), weight_g=90)
    months = as_viewer.get(own(by_year)).context["told"].years[-1].months
    assert [month.words for month in months] == ["January", ""]
    page = text(as_viewer, own(by_year))
    assert "In which month is unknown" in page
    assert "2023, the day is unknown" in page
    by_month = cast.female("Ada", born_on=day("2023-05-01"), born_precision="month")
    assert "May 2023, the day is unknown" in text(as_viewer, own(by_month))
    unknown = cast.female("Bea")
    assert "The day of birth is unknown" in text(as_viewer, own(unknown))


def test_states_that_are_over_are_told_and_a_death_undone_only_when_asked(as_viewer, keeper, owner):
    alya = cast.female("Alya", born_on=day("2024-01-01"), born_precision="day")
    with set_actor(keeper):
        for state, on in (
            ("on_loan", "2025-03-01"),
            ("here", "2025-06-01"),
            ("died", "2026-02-01"),
            ("on_loan", "2026-03-01"),
        ):
            cast.animals.change_state(alya, state=state, on=day(on), now=clock.now())
    assert told(as_viewer, own(alya)) == [
        "2026-03-01 went on loan",
        "2025-06-01 is here from this day on",
        "2025-03-01 went on loan",
        "2024-01-01 born",
    ]
    died = entries(as_viewer, own(alya), withdrawn="on")[1]
    assert (died.told.lead, died.gone_words, str(died.by)) == ("died", "changed since", "Sam")


def test_an_animal_with_nothing_but_itself_and_a_program_with_nothing(as_viewer, owner):
    nobody = cast.female("Bea")
    assert [one.told.lead for one in entries(as_viewer, own(nobody))] == ["written down"]
    page = text(as_viewer, own(nobody), kind="scanned")
    assert "Nothing of that kind and time is on record." in page
    Animal.objects.all().delete()
    LogEntry.objects.all().delete()
    assert "Nothing is written down yet." in text(as_viewer, CHRONICLE)


def test_fifty_stand_on_a_page_and_the_rest_is_earlier(as_viewer, owner):
    mira = cast.female("Mira", born_on=day("2020-01-01"), born_precision="day")
    Measurement.objects.bulk_create(
        Measurement(
            animal=mira, on=day("2024-01-01") + datetime.timedelta(days=number // 2), weight_g=1
        )
        for number in range(230)
    )
    seen, place = [], ""
    for expected in (50, 50, 50, 50, 31):
        answer = as_viewer.get(own(mira), {"before": place} if place else {})
        chronicle = answer.context["told"]
        assert len(chronicle.entries) == expected
        seen += [(one.on, one.told.lead) for one in chronicle.entries]
        place = chronicle.earlier
        assert chronicle.number == 231
        assert ("Earlier" in plain(answer.content.decode())) is bool(place)
    assert place == ""
    assert len(seen) == 231
    assert seen == sorted(seen, key=lambda one: one[0], reverse=True)
    assert seen[-1][1] == "born"


def test_two_moments_of_one_day_are_parted_by_the_page(as_viewer, owner):
    """Wherever a page ends within a day, the next begins with the entry after it."""
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    pair(mira, deneb, "2026-02-03")
    for hour in (9, 9, 17):
        see(mira, datetime.datetime(2026, 2, 3, hour, tzinfo=datetime.UTC))
    cast.animals.add_measurement(mira, by=None, on=day("2026-02-03"), weight_g=1)
    rows = [one.told.lead for one in entries(as_viewer, own(mira), until="2026-02-03")]
    assert rows == ["Mating", "Mating", "Mating", "put together", "measured"]
    found, place = [], None
    while place != "":
        asked = Asked(
            day("2026-11-20"),
            may_write=False,
            animals=(mira,),
            until=day("2026-02-03"),
            before=Place.read(place) if place else None,
        )
        chronicle = chronicle_of(asked, program=cast.program_now(), most=1)
        found += [one.told.lead for one in chronicle.entries]
        place = chronicle.earlier
    assert found == rows


def test_ten_times_as_many_records_ask_no_more_questions(as_keeper, keeper):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    tank = Tank.objects.create(name="Pool")

    def write(first, last):
        with set_actor(keeper):
            for number in range(first, last):
                on = day("2025-01-01") + datetime.timedelta(days=number)
                measured = cast.animals.add_measurement(mira, by=keeper, on=on, weight_g=900)
                measured.weight_g = 901
                measured.save()
                sighting = see(mira, f"{on}", male=deneb)
                withdraw(sighting, by=keeper, now=clock.now(), reason="a slip")
                see(mira, f"{on}", male=deneb)
                pair(mira, deneb, f"{on}", f"{on}")
                record_scan(female=mira, on=on, positive=False, today=on, by=keeper)
                Look.objects.create(tank=tank, on=on, recorded_by=keeper)
                tank.note = f"{number}"
                tank.save()

    def asked(address):
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert as_keeper.get(address, {"withdrawn": "on"}).status_code == 200
        return len(queries)

    write(0, 2)
    pages = (own(mira), CHRONICLE, mira.get_absolute_url())
    for page in pages:
        as_keeper.get(page)
    few = [asked(page) for page in pages]
    write(2, 9)
    assert [asked(page) for page in pages] == few
    write(9, 100)  # more than a page holds, and fewer kinds of them on it
    assert [asked(page) <= number for page, number in zip(pages, few, strict=True)] == [True] * 3


def test_no_page_reads_more_of_a_source_than_it_shows(as_viewer, owner):
    mira = cast.female("Mira")
    weigh(mira, range(150))
    with CaptureQueriesContext(connection) as queries:
        as_viewer.get(own(mira))
    of_it = [
        one["sql"]
        for one in queries
        if re.match(r'SELECT (?!1).*FROM "animals_measurement"', one["sql"])
    ]
    assert of_it
    assert [one for one in of_it if "LIMIT 101" not in one and " IN (" not in one] == []


def test_nothing_that_is_kept_from_the_history_is_shown(as_owner, owner):
    LogEntry.objects.create(
        content_type=ContentType.objects.get_for_model(Person),
        object_pk=str(owner.pk),
        object_id=owner.pk,
        object_repr="Jo",
        action=LogEntry.Action.UPDATE,
        changes={
            "password": ["hush", "hush-hush"],
            "token": ["old-token", "new-token"],
            "role": ["a", "owner"],
        },
    )
    page = text(as_owner, CHRONICLE, kind="people")
    assert "hush" not in page
    assert "new-token" not in page
    assert "role: from a to owner: everything, and the people" in page


def test_crooked_and_forgotten_changes_are_said_as_they_are(as_owner, owner):
    mira = cast.female("Mira")
    cast.animals.change_state(mira, state="on_loan", on=day("2026-03-02"))
    LogEntry.objects.filter(action=1, object_repr="Mira").update(
        changes={
            "no_such_field": ["1", "2"],
            "state": ["here", "nowhere"],
            "state_on": ["None", "some day"],
            "dam": ["None", "987654"],
            "born_on": {"type": "m2m"},
            "note": ["", "<b>bold</b> " + "x" * 100],
        }
    )
    page = as_owner.get(own(mira), {"kind": "corrected"}).content.decode()
    said = plain(page)
    assert "no such field: from 1 to 2" in said
    assert "state on: from nothing to some day" in said
    assert "dam: from nothing to number 987654, no longer there" in said
    assert "&lt;b&gt;bold&lt;/b&gt; xxx" in said
    assert "x" * 90 not in said


def test_the_old_address_of_the_history_leads_to_the_chronicle(as_viewer):
    answer = as_viewer.get(reverse("records:history"), {"animal": "Mira", "page": "3"})
    assert (answer.status_code, answer.url) == (302, f"{CHRONICLE}?animal=Mira")


def test_it_is_found_from_more_by_everybody_and_raw_rows_by_owners_alone(
    as_viewer, as_keeper, as_owner
):
    raw = reverse("admin:index")
    for client, is_owner in ((as_viewer, False), (as_keeper, False), (as_owner, True)):
        page = client.get(reverse("program:more")).content.decode()
        assert CHRONICLE in page
        assert (f'href="{raw}"' in page) is is_owner


def test_the_chronicle_of_a_withdrawn_animal_is_still_read(as_viewer):
    mira = cast.female("Mira")
    see(mira, 3, kind="following")
    withdraw(mira, by=None, now=clock.now(), reason="twice")
    answer = as_viewer.get(own(mira))
    assert answer.status_code == 200
    assert "Following" in plain(answer.content.decode())


def test_a_death_without_a_day_is_told_where_it_was_written_down(as_keeper):
    gone = cast.ray("Old", state="died")
    Death.objects.create(animal=gone, cause="age")
    for address in (reverse("records:chronicle"), reverse("records:animal", args=[gone.pk])):
        told = cast.words(as_keeper.get(address))
        assert told.count("The day of its death is unknown") == 2
        assert "old age, suspected" in told
    change_state(gone, state="died", on=cast.day("2024-05-01"))
    told = cast.words(as_keeper.get(reverse("records:animal", args=[gone.pk])))
    assert "The day of its death is unknown" not in told
