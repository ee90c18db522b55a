"""The history of every change: who, when, which record, from what to what."""

import pytest
from auditlog.context import set_actor
from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.urls import reverse
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.offers.sales import change_sales_page
from breeding.program import clock
from breeding.program.models import Person
from tests import cast
from tests.buyers.litters import litter_of
from tests.cast import pair, see
from tests.lists import names, page_of, plain

pytestmark = pytest.mark.django_db
HISTORY = "records:history"


@pytest.fixture
def changed(owner, keeper):
    """Jo writes Mira down; Sam measures her, and she is lent to somebody."""
    LogEntry.objects.all().delete()
    with set_actor(owner):
        mira = cast.female("Mira")
        cast.female("Vega")
    with set_actor(keeper):
        cast.animals.add_measurement(mira, by=keeper, on=cast.day("2026-03-01"), disc_width_mm=382)
        cast.animals.change_state(mira, state="on_loan", on=cast.day("2026-03-02"))
    return mira


def said(client, **query):
    """Which record and what changed, row by row."""
    rows = page_of(client, HISTORY, **query).split("<tbody>")[1].split("<tr")[1:]
    return [plain(f"<{row}") for row in rows]


def test_a_change_says_from_what_to_what_in_the_words_of_the_page(as_keeper, changed):
    latest, measured, *_ = said(as_keeper)
    assert latest.startswith("Mira")
    assert "state: from here to on loan; state on: from nothing to 2 March 2026" in latest
    assert latest.endswith("Sam")
    assert "animal: Mira; on: 1 March 2026; disc width: 38.2 cm" in measured


def test_lengths_are_said_in_the_units_of_the_program(as_keeper, changed):
    cast.the_program(length_unit="in")
    assert "disc width: 15.0 in" in said(as_keeper, kind="animals.measurement")[0]


def test_changes_are_found_by_person_kind_act_name_and_day(as_keeper, owner, keeper, changed):
    assert names(as_keeper, HISTORY) == ["Mira", "Mira on 2026-03-01", "Vega", "Mira"]
    assert names(as_keeper, HISTORY, by=owner.pk) == ["Vega", "Mira"]
    assert names(as_keeper, HISTORY, kind="animals.measurement") == ["Mira on 2026-03-01"]
    assert names(as_keeper, HISTORY, act="1") == ["Mira"]
    assert names(as_keeper, HISTORY, q="vega") == ["Vega"]
    today = timezone.localdate().isoformat()
    assert len(names(as_keeper, HISTORY, since=today, until=today)) == 4
    assert names(as_keeper, HISTORY, until="2026-01-01") == []
    assert names(as_keeper, HISTORY, sort="timestamp")[0] == "Mira"


def test_an_animals_history_holds_all_that_was_written_of_it(as_keeper, changed):
    pair(changed, cast.male("Deneb"), 9)
    see(changed)
    see(Animal.objects.get(call_name="Vega"))
    for asked in ("mira", changed.code):
        found = names(as_keeper, HISTORY, animal=asked)
        assert sorted(found) == sorted(
            ["Mira", "Mira", "Mira on 2026-03-01", "Mira and Deneb", "Mira: Mating"]
        )
    page = page_of(as_keeper, HISTORY, animal="Wezen")
    assert "“Wezen” is nobody here; allowed is the code or the name of an animal" in page
    link = f"{reverse(HISTORY)}?animal={changed.code}"
    assert link in as_keeper.get(changed.get_absolute_url()).content.decode()


def test_a_change_of_a_parent_names_it(as_keeper, changed):
    changed.dam = Animal.objects.get(call_name="Vega")
    changed.save()
    assert "dam: from nothing to Vega" in said(as_keeper, act="1")[0]


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
    page = page_of(as_owner, HISTORY)
    assert "hush" not in page
    assert "new-token" not in page
    assert "role: from a to owner: everything, and the people" in page


def test_crooked_and_forgotten_changes_are_said_as_they_are(as_owner, changed):
    LogEntry.objects.filter(action=1).update(
        changes={
            "no_such_field": ["1", "2"],
            "state_on": ["some day", "None"],
            "dam": ["None", "987654"],
            "born_on": {"type": "m2m"},
            "note": ["", "<b>bold</b> " + "x" * 100],
        }
    )
    row = said(as_owner, act="1")[0]
    assert "no such field: from 1 to 2" in row
    assert "state on: from some day to nothing" in row
    assert "dam: from nothing to number 987654, no more there" in row
    assert "&lt;b&gt;bold&lt;/b&gt; xxx" in row
    assert "x" * 90 not in row


def test_viewers_do_not_read_the_history(as_viewer, changed):
    assert as_viewer.get(reverse(HISTORY)).status_code == 403
    assert reverse(HISTORY) not in as_viewer.get(changed.get_absolute_url()).content.decode()
    assert reverse(HISTORY) not in as_viewer.get(reverse("program:more")).content.decode()


def test_a_record_whose_page_is_another_ones_is_named_without_a_link(as_owner, owner):
    """The address of a sales page is that of its litter, which the change does not hold."""
    litter = litter_of(cast.female("Vega"), today=clock.today())
    change_sales_page(litter, by=owner, pups=litter.pups.all())
    assert f"sales page of {litter}" in plain(page_of(as_owner, HISTORY, q="sales page"))
