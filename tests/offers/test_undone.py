"""Which pups a sales page shows is put back with its words, and stands in the history."""

import pytest
from django.urls import reverse

from breeding.offers.models import SalesPage
from breeding.program.models import Act
from tests import cast
from tests.buyers.litters import litter_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def litter(db):
    return litter_of(cast.female("Vega"), cast.male("Deneb"))


def save(client, litter, pups, words=""):
    sent = {"pups": [one.pk for one in pups], "words": words, "save": "1"}
    client.post(reverse("offers:sales", args=[litter.pk]), sent)
    return Act.objects.latest("pk")


def undo(client, act):
    assert client.post(reverse("program:undo", args=[act.pk])).status_code == 302
    return Act.objects.latest("pk")


def shown() -> list[int]:
    return sorted(SalesPage.objects.get().pups.values_list("pk", flat=True))


def test_a_pup_taken_off_by_mistake_is_back_once_that_is_undone(as_keeper, litter):
    every = list(litter.pups.exclude(animal=None))
    save(as_keeper, litter, every, "Raised on worms.")
    act = save(as_keeper, litter, every[:1], "Raised on shrimp.")
    assert shown() == [every[0].pk]
    undo(as_keeper, act)
    assert shown() == sorted(one.pk for one in every)
    assert SalesPage.objects.get().words == "Raised on worms."


def test_where_nothing_but_the_pups_is_another_the_receipt_offers_to_undo_it(as_keeper, litter):
    every = list(litter.pups.exclude(animal=None))
    save(as_keeper, litter, every)
    assert save(as_keeper, litter, every[1:]).is_undoable


def test_a_page_written_again_shows_the_same_pups(as_keeper, litter):
    every = list(litter.pups.exclude(animal=None))
    undone = undo(as_keeper, save(as_keeper, litter, every))
    assert not SalesPage.objects.exists()
    undo(as_keeper, undone)
    assert shown() == sorted(one.pk for one in every)
