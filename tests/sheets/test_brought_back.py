"""A sheet whose withdrawal was a slip counts again, and says both days to whoever looks it up."""

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.program.acts.mending import change_address_of
from breeding.sheets import standing
from breeding.sheets.models import Sheet, SheetReturn
from breeding.sheets.services import issue_sheet
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
ON = cast.day("2026-11-03")


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def withdrawn(owner):
    sheet = issue_sheet(cast.female("Vega"), by=owner, on=ON)
    standing.withdraw_sheet(sheet, by=owner, on=cast.day("2026-11-20"), reason="the wrong dam")
    return Sheet.objects.get(pk=sheet.pk)


def test_it_stands_again_and_everybody_reads_when_it_did_not(as_keeper, stranger, withdrawn):
    address = reverse("program:bring_back", args=["sheet", withdrawn.pk])
    page = words(as_keeper.post(address, follow=True))
    assert f"Sheet {withdrawn.number} counts again." in page
    assert "because: the wrong dam; brought back on Wed 25 Nov 2026 by Sam." in page
    sheet = Sheet.objects.get(pk=withdrawn.pk)
    assert standing.standing_of(sheet).is_good
    shared = words(stranger.get(reverse("sheets:shared", args=[sheet.links.get().token])))
    said = "withdrawn on Fri 20 Nov 2026 by mistake, and brought back on Wed 25 Nov 2026."
    assert f"As issued: unaltered.</strong> It was {said}" in shared
    assert "the wrong dam" not in shared
    assert "stands as issued" in words(as_keeper.get(reverse("sheets:index")))


def test_it_can_be_withdrawn_again_and_the_slip_stays_readable(owner, withdrawn):
    day = cast.day("2026-11-25")
    standing.bring_back_sheet(withdrawn, by=owner, on=day)
    sheet = Sheet.objects.get(pk=withdrawn.pk)
    standing.withdraw_sheet(sheet, by=owner, on=day, reason="the wrong sire")
    now = standing.standing_of(Sheet.objects.get(pk=sheet.pk))
    assert now.verdict == "Withdrawn on Wed 25 Nov 2026."
    assert "It was withdrawn on Fri 20 Nov 2026 by mistake" in now.reasons
    back = SheetReturn.objects.get()
    assert (back.reason, back.withdrawn_by, back.recorded_by) == ("the wrong dam", owner, owner)


def test_one_that_stands_is_not_brought_back(as_keeper, owner):
    sheet = issue_sheet(cast.female("Vega"), by=owner, on=ON)
    with pytest.raises(ValidationError, match="is not withdrawn"):
        standing.bring_back_sheet(sheet, by=owner, on=ON)
    answer = as_keeper.post(reverse("program:bring_back", args=["sheet", sheet.pk]))
    assert "counts already" in words(answer)
    assert not SheetReturn.objects.exists()


def test_a_sheet_is_never_changed(as_keeper, owner):
    """It is signed and was handed out; a correction says what is wrong on it."""
    sheet = issue_sheet(cast.female("Vega"), by=owner, on=ON)
    assert change_address_of(sheet) == ""
    assert as_keeper.get(reverse("program:change", args=["sheet", sheet.pk])).status_code == 404
