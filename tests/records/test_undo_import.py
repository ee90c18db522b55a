"""An import is undone as a whole, as long as nothing rests on what it brought in."""

import pytest
from auditlog.models import LogEntry
from django.urls import reverse

from breeding.animals import lineage
from breeding.animals.models import Animal, Measurement, Strain
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.placing import place
from breeding.program.models import Act
from breeding.records.models import ImportDraft
from tests import cast
from tests.cast import day, see, words

pytestmark = pytest.mark.django_db
TABLE = """code,name,sex,sire,dam,strain,width,measured on
A1,Wega,f,,,Lantern,31,2026-05-01
A2,Rigel,m,,,,29,2026-05-01
A3,Pip,,A2,A1,,,
"""
STAYS = """animal,tank,from,to
Mira,Bay,2026-02-01,2026-02-10
Mira,Bay,2026-03-01,2026-03-05
"""


def brought_in(client, table: str = TABLE) -> ImportDraft:
    client.post(reverse("records:index"), {"pasted": table})
    draft = ImportDraft.objects.latest("pk")
    client.post(reverse("records:write", args=[draft.pk]))
    draft.refresh_from_db()
    assert draft.is_written
    return draft


def undo(client, draft):
    act = Act.objects.get(key=draft.written_with)
    return client.post(
        reverse("program:undo", args=[act.pk]), {"back": draft.get_absolute_url()}, follow=True
    )


def test_nothing_of_it_counts_any_more_and_the_table_waits_to_be_written_again(as_keeper):
    cast.female("Mira")
    draft = brought_in(as_keeper)
    assert (Animal.objects.count(), Measurement.objects.count()) == (4, 2)
    assert len(lineage.current().pedigree) == 4
    page = undo(as_keeper, draft)
    assert page.redirect_chain[-1][0] == reverse("records:columns", args=[draft.pk])
    assert [one.name for one in Animal.objects.all()] == ["Mira"]
    assert len(lineage.current().pedigree) == 1
    assert not Measurement.objects.exists()
    as_keeper.post(reverse("records:write", args=[draft.pk]))
    assert Animal.objects.count() == 4
    assert Strain.objects.filter(name="Lantern").count() == 1


def test_what_rests_on_it_is_named_and_all_of_it_stays(as_keeper):
    draft = brought_in(as_keeper)
    see(Animal.objects.get(code="A1"), 1)
    answer = undo(as_keeper, draft)
    assert answer.status_code == 409
    assert "sighting “Wega: Mating” rests on it" in words(answer)
    assert Animal.objects.count() == 3


def test_undoing_it_is_undone_too(as_keeper):
    draft = brought_in(as_keeper)
    undo(as_keeper, draft)
    again = Act.objects.latest("pk")
    as_keeper.post(reverse("program:undo", args=[again.pk]))
    draft.refresh_from_db()
    assert draft.is_written
    pip = Animal.objects.get(code="A3")
    assert (pip.sire.name, pip.dam.name) == ("Rigel", "Wega")
    assert Measurement.objects.count() == 2


def test_earlier_stays_go_and_the_one_they_cut_goes_on(as_keeper, owner):
    mira, pool = cast.female("Mira"), Tank.objects.create(name="Pool")
    Tank.objects.create(name="Bay")
    place(mira, pool, on=day("2026-01-01"), by=owner)
    draft = brought_in(as_keeper, STAYS)
    assert [(one.tank.name, one.until) for one in Stay.objects.order_by("since", "pk")] == [
        ("Pool", day("2026-02-01")),
        ("Bay", day("2026-02-10")),
        ("Pool", day("2026-03-01")),
        ("Bay", day("2026-03-05")),
        ("Pool", None),
    ]
    undo(as_keeper, draft)
    [left] = Stay.objects.all()
    assert (left.tank, left.since, left.until) == (pool, day("2026-01-01"), None)
    assert Stay.every.count() == 5
    assert LogEntry.objects.get_for_objects(Stay.every.exclude(pk=left.pk)).count() == 9


def test_its_page_offers_it(as_keeper):
    draft = brought_in(as_keeper)
    page = words(as_keeper.get(draft.get_absolute_url()))
    assert "Undo the whole import" in page
