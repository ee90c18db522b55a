"""A sheet issued by mistake: undone at once it is withdrawn, and stays as it was issued."""

import pytest
from django.urls import reverse

from breeding.program.models import Act
from breeding.sheets.models import Sheet
from breeding.sheets.services import next_number
from breeding.sheets.standing import standing_of
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db


def undo(client, act):
    return words(client.post(reverse("program:undo", args=[act.pk]), follow=True))


@pytest.fixture
def issued(as_keeper) -> Act:
    vega = cast.female("Vega")
    sent = {"paper": "a4", "generations": "3", "issue": "1"}
    as_keeper.post(reverse("sheets:new", args=[vega.pk]), sent)
    return Act.objects.get()


def test_undone_it_is_withdrawn_and_stays_readable_as_it_was_issued(as_keeper, issued, stranger):
    before = Sheet.objects.values().get()
    assert "Undone: Sheet" in undo(as_keeper, issued)
    assert Sheet.objects.values().get() == before
    sheet = Sheet.objects.get()
    assert sheet.withdrawal.reason == "undone by who wrote it"
    standing = standing_of(sheet)
    assert standing.is_unaltered
    assert standing.verdict.startswith("Withdrawn on")
    link = reverse("sheets:shared", args=[sheet.links.get().token])
    assert "It is no longer valid." in words(stranger.get(link))
    assert next_number(sheet.issued_on) != sheet.number


def test_written_again_it_stands_as_if_it_had_never_been_withdrawn(as_keeper, issued):
    undo(as_keeper, issued)
    assert "Written again" in undo(as_keeper, Act.objects.latest("pk"))
    assert standing_of(Sheet.objects.get()).is_good
