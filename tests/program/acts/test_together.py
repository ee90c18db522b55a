"""Rows written together are, with their lines in the history, what `save` makes of each alone."""

import datetime
from typing import Any

import pytest
from auditlog.context import disable_auditlog, set_actor
from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db import models

from breeding.animals.models import Profile, ProfileFigure, Species, Strain
from breeding.animals.species.adding import blank_start
from breeding.program.acts.once import belonging_to
from breeding.program.acts.together import write_parts, write_together
from breeding.program.models import Act

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 6, 20, 15, 0, tzinfo=datetime.UTC)
SAID = 'from Æ\u200a"Jo\'s" \\book, 100 % of %s {name}'


@pytest.fixture
def act(owner):
    act = Act.objects.create(key="1.together", person=owner, at=NOW, door="/")
    with set_actor(owner), belonging_to(act):
        yield act


def figures() -> list[ProfileFigure]:
    return [
        ProfileFigure(name="litter_mean", value=4, certainty="A", source=""),
        ProfileFigure(name="mature_female_days", value=900.5, certainty="P", source=SAID),
        ProfileFigure(name="scan_specificity", value=1e-07, certainty="C", source="None"),
    ]


def profiles(key: str) -> list[Profile]:
    rows = [Profile(key=f"{key}-{n}", label=f"P. n\u00f6va {n}") for n in range(3)]
    Profile.objects.bulk_create(rows)
    return rows


def held(of: models.Model) -> list[dict[str, Any]]:
    """The figures of a profile as they are on record, and what the history tells of each."""
    kind = ContentType.objects.get_for_model(ProfileFigure)
    found = []
    for row in ProfileFigure.objects.filter(profile=of).order_by("pk").values():
        [line] = LogEntry.objects.filter(content_type=kind, object_pk=str(row["id"])).values()
        assert line["object_id"] == row["id"]
        changes = line["changes"]
        assert changes.pop("id") == ["None", str(row.pop("id"))]
        assert changes.pop("profile") == ["None", str(row.pop("profile_id"))]
        left_out = ("id", "timestamp", "object_pk", "object_id")
        told = {name: value for name, value in line.items() if name not in left_out}
        found.append(row | told | {"in order": list(line["changes"])})
    return found


def test_parts_alike_are_written_as_each_would_be_saved(act):
    one_by_one, together = profiles("saved"), profiles("together")
    for whole in one_by_one:
        for figure in figures():
            figure.profile = whole
            figure.save()
    shared, own = figures(), ProfileFigure(name="litter_max", value=9, certainty="A", source="?")
    write_parts([(whole, shared) for whole in together], of="profile")
    assert [held(one) for one in together] == [held(one) for one in one_by_one]
    [line, *_] = held(together[0])
    assert line["cid"] == act.key
    assert line["object_repr"] == "P. n\u00f6va 0: litter_mean = 4"
    assert line["changes"] == {
        "name": ["None", "litter_mean"],
        "value": ["None", "4"],
        "certainty": ["None", "A"],
        "source": ["None", ""],
    }
    more = profiles("more")
    write_parts([(more[0], [*shared, own]), (more[1], []), (more[2], [own])], of="profile")
    names = [[one["name"] for one in held(whole)] for whole in more]
    assert names == [[*(one.name for one in shared), "litter_max"], [], ["litter_max"]]


def test_parts_of_very_many_wholes_are_told_of_their_own(act):
    rows = [Profile(key=f"many-{n}", label=f"Profile {n}") for n in range(30)]
    write_together(rows)
    shared = [*blank_start().rows.values()]
    write_parts([(whole, shared) for whole in rows], of="profile")
    for whole in rows:
        told = held(whole)
        assert [one["name"] for one in told] == [one.name for one in shared]
        assert {one["object_repr"].partition(":")[0] for one in told} == {whole.label}


def test_nothing_is_written_of_no_wholes(act):
    write_parts([], of="profile")
    assert not LogEntry.objects.filter(cid=act.key).exists()


def test_rows_of_their_own_are_told_of_as_each_would_be_saved(act, owner):
    species = Species.objects.order_by("pk")[0]
    facts = (("Pearl", None, ""), ("Smoke", species, SAID))
    for row in [Strain(name=a, species=b, description=c, recorded_by=owner) for a, b, c in facts]:
        row.save()
    Strain.every.filter(name__in=[name for name, *_ in facts]).update(withdrawn_at=NOW)
    write_together(
        [Strain(name=a, species=b, description=c, recorded_by=owner) for a, b, c in facts]
    )
    kind = ContentType.objects.get_for_model(Strain)
    lines = list(LogEntry.objects.filter(content_type=kind, cid=act.key).order_by("pk").values())
    for line in lines:
        assert str(line["object_id"]) == line["object_pk"] == line["changes"].pop("id")[1]
        line["changes"].pop("recorded_at")
        for name in ("id", "timestamp", "object_pk", "object_id"):
            line.pop(name)
    assert len(lines) == 4
    assert lines[2:] == lines[:2]
    assert lines[3]["changes"]["description"][1] == SAID


def test_without_a_history_nothing_is_told():
    whole = profiles("quiet")[0]
    with disable_auditlog():
        write_parts([(whole, figures())], of="profile")
    assert ProfileFigure.objects.filter(profile=whole).count() == 3
    kind = ContentType.objects.get_for_model(ProfileFigure)
    keys = [str(key) for key in whole.figures.values_list("pk", flat=True)]
    assert not LogEntry.objects.filter(content_type=kind, object_pk__in=keys).exists()
