"""A table is undone as a whole: in few statements, and all stands as before."""

import datetime
from collections.abc import Callable
from typing import Any

import pytest
from auditlog.context import set_actor
from auditlog.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from breeding.animals.models import ProfileFigure, Species, Strain
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.placing import place
from breeding.pairings.models import Sighting, SignKind
from breeding.program.acts.once import belonging_to
from breeding.program.acts.undoing import undo
from breeding.program.models import Act
from breeding.records.incoming.kinds.kind import Keeping
from breeding.records.incoming.kinds.table import KINDS
from tests import cast
from tests.cast import day
from tests.records.test_all_together import NOW, TODAY

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


@pytest.fixture
def written(owner) -> Callable[[str, list[dict[str, Any]]], Act]:
    """A table of rows, with what they say, under an act."""

    def write(kind: str, rows: list[dict[str, Any]]) -> Act:
        nothing = dict.fromkeys(meaning.key for meaning in KINDS[kind].meanings)
        keeping = Keeping(owner, cast.program_now(), NOW, TODAY, "here")
        act = Act.objects.create(key=f"1.{kind}{len(rows)}", person=owner, at=NOW, door="/")
        with set_actor(owner), belonging_to(act):
            kept = KINDS[kind].keep_all([{**nothing, **row} for row in rows], keeping)
        assert [one.refusal for one in kept] == [None] * len(rows)
        return act

    return write


def undone(act: Act, owner: Any) -> int:
    """So many questions and statements it takes."""
    again = Act.objects.create(key=f"2.{act.key}", person=owner, at=NOW, door="/")
    with set_actor(owner), belonging_to(again), CaptureQueriesContext(connection) as asked:
        undo(act, by=owner, now=NOW)
    return len(asked)


def test_earlier_stays_are_taken_out_and_the_one_they_cut_goes_on(owner, written):
    tanks = [Tank.objects.create(name=name, volume_litres=900) for name in ("Pool", "Beside")]
    mira = cast.female("Mira", born_on=day("2020-01-01"))
    place(mira, tanks[0], on=day("2025-01-01"), by=owner)
    columns = ("animal", "tank", "since", "until")
    before = list(Stay.objects.order_by("since").values_list(*columns))
    rows = [
        {"animal": mira, "tank": tanks[1], "since": on, "until": on + DAY}
        for on in (day("2025-03-01"), day("2025-05-01"))
    ]
    act = written("stays", rows)
    assert Stay.objects.count() == 5
    undone(act, owner)
    assert list(Stay.objects.order_by("since").values_list(*columns)) == before


def test_what_it_takes_does_not_grow_with_the_rows(owner, written):
    mira = cast.female("Mira", born_on=day("2020-01-01"))
    kind = SignKind.objects.get(key="following")
    noon = datetime.datetime(2026, 3, 1, 12, tzinfo=datetime.UTC)

    def rows(first: int, number: int) -> list[dict[str, Any]]:
        moments = (noon + DAY * n for n in range(first, first + number))
        return [{"animal": mira, "kind": kind, "seen_at": at} for at in moments]

    few, many = written("sightings", rows(0, 3)), written("sightings", rows(3, 30))
    least = undone(few, owner)
    assert Sighting.objects.filter(withdrawn_at__isnull=True).count() == 30
    assert undone(many, owner) == least
    assert not Sighting.objects.filter(withdrawn_at__isnull=True).exists()
    told = LogEntry.objects.filter(cid=f"2.{many.key}", action=LogEntry.Action.UPDATE)
    assert told.count() == 30
    assert {one.actor for one in told} == {owner}
    assert all(one.changes["withdrawn_by"] == ["None", str(owner.pk)] for one in told)


def test_species_are_withdrawn_with_all_that_was_written_of_them(owner, written):
    def species(first: int, number: int) -> list[dict[str, Any]]:
        return [{"accepted_name": f"Lanternus n{n}"} for n in range(first, first + number)]

    few, many = written("species", species(0, 2)), written("species", species(2, 9))
    figures = ProfileFigure.objects.count()
    least = undone(few, owner)
    assert undone(many, owner) <= least + 3  # keys are asked of by five hundred
    assert ProfileFigure.objects.count() == figures
    brought_in = Species.every.filter(accepted_name__startswith="Lanternus")
    assert {one.withdrawn_at for one in brought_in} == {NOW}
    told = LogEntry.objects.filter(cid=f"2.{many.key}").values_list("object_repr", flat=True)
    assert sorted(told) == [f"Lanternus n{n}" for n in (10, 2, 3, 4, 5, 6, 7, 8, 9)]


@pytest.mark.parametrize("change", [{"value": 777}, {"source": "seen"}])
def test_species_of_which_a_figure_is_another_now_stay(owner, written, change):
    act = written("species", [{"accepted_name": f"Lanternus n{n}"} for n in range(3)])
    one = Species.objects.get(accepted_name="Lanternus n1").profile.figures.first()
    ProfileFigure.objects.filter(pk=one.pk).update(**change)
    with pytest.raises(ValidationError) as refused:
        undone(act, owner)
    assert f"“L. n1: {one.name} = " in refused.value.messages[0]
    assert Species.objects.filter(accepted_name__startswith="Lanternus").count() == 3


def test_species_on_which_a_strain_rests_stay(owner, written):
    act = written("species", [{"accepted_name": f"Lanternus n{n}"} for n in range(3)])
    Strain.objects.create(name="Pale", species=Species.objects.get(accepted_name="Lanternus n2"))
    with pytest.raises(ValidationError, match="strain “Pale” rests on it"):
        undone(act, owner)
