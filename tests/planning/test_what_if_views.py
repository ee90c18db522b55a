"""Changes on paper; figures of the smallest families by own arithmetic."""

import pytest
from auditlog.models import LogEntry
from django.urls import reverse

from breeding.animals.models import Animal
from tests import cast

ADDRESS = reverse("planning:what_if")


@pytest.fixture
def couple(as_keeper):
    born = cast.day("2015-05-01")
    return cast.female("Vega", born_on=born), cast.male("Altair", born_on=born)


def test_what_if_a_litter_is_born(as_keeper, couple):
    """Founders 1/2 and 1/2 with 0 between; each of two pups 1/2 with itself, 1/4 with the rest."""
    vega, altair = couple
    answer = as_keeper.get(ADDRESS, {"female": vega.pk, "male": altair.pk, "young": 2})
    found = answer.context["found"]
    assert found.before.gene_diversity == 0.75
    assert found.after.gene_diversity == 1 - (1 + 2 * 0.5 + 2 * 0.25 + 8 * 0.25) / 16
    assert found.inbreeding_of_young == {f"litter-{vega.pk}-{altair.pk}-2": 0.0}
    assert "Vega has 2 pups by Altair" in answer.content.decode()


def test_what_if_a_founder_without_young_dies(as_keeper, couple):
    vega, _ = couple
    answer = as_keeper.get(ADDRESS, {"animal": vega.pk, "kind": "death"})
    assert answer.context["found"].after.gene_diversity == 0.5
    assert "Nothing would be left of Vega." in answer.content.decode()


def test_what_if_one_on_loan_still_counts(as_keeper, couple):
    vega, _ = couple
    found = as_keeper.get(ADDRESS, {"animal": vega.pk, "kind": "loan"}).context["found"]
    assert found.after == found.before


def test_what_if_everybody_goes(as_keeper, couple):
    trials = [f"sale-{one.pk}" for one in couple]
    assert "Nobody would be left." in as_keeper.get(ADDRESS, {"try": trials}).content.decode()


def test_what_if_leaves_no_trace(as_keeper, couple):
    vega, altair = couple
    rows, history = Animal.objects.count(), LogEntry.objects.count()
    as_keeper.get(ADDRESS, {"female": vega.pk, "male": altair.pk, "young": 2})
    assert (Animal.objects.count(), LogEntry.objects.count()) == (rows, history)


@pytest.mark.parametrize(
    "key",
    [
        "litter-1-2-0",
        "litter-x-y-z",
        "sale-" + "9" * 5000,
        "sale-999999",
        "murder-1",
        "-",
        "litter-1-1-3",
        "",
    ],
)
def test_what_cannot_be_tried_is_named(as_keeper, couple, key):
    answer = as_keeper.get(ADDRESS, {"try": key})
    assert answer.status_code == 200
    assert f"“{key}” cannot be tried" in answer.content.decode()
