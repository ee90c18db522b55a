"""Ten thousand animals: the list sorts and narrows by F from what is kept, never row by row."""

import datetime
import math
import random
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals import lineage, revisions
from breeding.animals.models import Animal
from breeding.animals.parents.descent import descent_of
from pedigree import Pedigree

pytestmark = pytest.mark.django_db

FOUNDERS, GENERATIONS, EACH = 100, 33, 300


def ten_thousand() -> None:
    """Overlapping generations with a fixed seed; one parent in ten is unknown."""
    chance = random.Random(5)
    animals: list[Animal] = []
    born = datetime.date(1990, 1, 1)
    for generation in range(GENERATIONS + 1):
        parents = animals[-2 * EACH :]
        males = [one for one in parents if one.sex == "M"][::5]
        females = [one for one in parents if one.sex == "F"]
        for _ in range(EACH if generation else FOUNDERS):
            number = len(animals) + 1
            animals.append(
                Animal(
                    pk=number,
                    code=f"R{number:05d}",
                    call_name="",
                    sex="FM"[number % 2],
                    born_on=born + datetime.timedelta(days=365 * generation + number % 300),
                    born_precision="day",
                    sire=chance.choice(males) if males and chance.random() > 0.1 else None,
                    dam=chance.choice(females) if females and chance.random() > 0.1 else None,
                )
            )
    Animal.objects.bulk_create(animals)
    revisions.parentage_changed()


def test_index_of_ten_thousand_sorts_and_narrows_without_reckoning_again(as_keeper, monkeypatch):
    ten_thousand()
    index = reverse("animals:index")
    reckoned = []
    reckon = Pedigree.inbreeding
    monkeypatch.setattr(
        Pedigree, "inbreeding", lambda self: reckoned.append(len(self)) or reckon(self)
    )
    first = as_keeper.get(f"{index}?state=all")
    assert "10000 animals" in first.content.decode()
    assert reckoned == [10_000]

    queries = set()
    for query in ("sort=inbreeding", "sort=-inbreeding", "sort=-generations", "sort=-inbreeding"):
        with CaptureQueriesContext(connection) as asked:
            answer = as_keeper.get(f"{index}?state=all&{query}&page=7")
        queries.add(len(asked))
        assert answer.status_code == 200
    assert len(queries) == 1
    assert queries.pop() < 20

    with CaptureQueriesContext(connection) as asked:
        page = as_keeper.get(
            f"{index}?state=all&f_from=2&f_to=5&known=3&sort=-inbreeding"
        ).content.decode()
    assert len(asked) < 20
    found = lineage.current()
    expected = [
        f
        for pk, f in found.inbreeding.items()
        if 200 <= math.floor(f * 10_000 + 0.5) <= 500  # as shown, to hundredths of a per cent
        and found.equivalent_generations[pk] >= 3
    ]
    assert 100 < len(expected) < 9_000
    assert f"{len(expected)} of 10000 animals" in page
    assert reckoned == [10_000], "F was reckoned again though no parent has changed"


def test_a_deep_line_is_explained_from_its_last_generations_and_the_rest_is_summed():
    ten_thousand()
    found = lineage.current()
    pk = max(found.inbreeding, key=lambda pk: (pk > 9_700) * found.inbreeding[pk])
    descent = descent_of(Animal.objects.get(pk=pk))
    (reasons,) = descent.reasons
    assert float(descent.inbreeding) == pytest.approx(found.inbreeding[pk], abs=1e-12)
    assert reasons.sentences[-1].startswith("Longer lines add ")
    parts = [float(re.findall(r"([\d.]+) %", one)[-1]) for one in reasons.sentences]
    assert sum(parts) == pytest.approx(100 * found.inbreeding[pk], abs=0.1)


def test_index_reckons_once_more_after_a_parent_has_changed(as_keeper, monkeypatch):
    sire = Animal.objects.create(code="A", sex="M")
    young = Animal.objects.create(code="B", sex="F")
    index = reverse("animals:index")
    reckoned = []
    reckon = Pedigree.inbreeding
    monkeypatch.setattr(
        Pedigree, "inbreeding", lambda self: reckoned.append(len(self)) or reckon(self)
    )
    revisions.parentage_changed()
    for _ in range(3):
        as_keeper.get(index)
    young.sire = sire
    young.save()
    revisions.parentage_changed()
    for _ in range(3):
        as_keeper.get(index)
    assert reckoned == [2, 2]
