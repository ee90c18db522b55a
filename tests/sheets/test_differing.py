"""A sheet differs from the records by what they hold, not by the language it is read or kept in."""

from dataclasses import asdict, replace

import pytest
from django.utils import translation

from breeding.animals.services import change_animal
from breeding.buyers import services
from breeding.buyers.models import Reservation
from breeding.program import clock
from breeding.program.acts.mending import address_of
from breeding.sheets.differing import differences
from breeding.sheets.models import Sheet
from breeding.sheets.services import issue_sheet
from breeding.sheets.standing import withdraw_sheet
from tests import cast

pytestmark = pytest.mark.django_db
ON = cast.day("2026-11-25")


@pytest.fixture
def lyra(owner):
    dam, sire = cast.female("Vega", pure="motoro"), cast.male("Deneb", pure="motoro")
    born_on = cast.day("2026-03-14")
    return cast.female("Lyra", dam=dam, sire=sire, born_on=born_on, born_precision="month")


@pytest.mark.parametrize("kept_in", ["de", "en"])
@pytest.mark.parametrize("read_in", ["de", "en"])
def test_one_kept_in_a_language_agrees_when_it_is_read_in_another(lyra, kept_in, read_in):
    sheet = issue_sheet(lyra, by=None, on=ON, language=kept_in)
    with translation.override(read_in):
        assert differences(sheet) == ()


def in_other_words(sheet, **animal):
    """The sheet as it would have been kept when its words were others."""
    facts = sheet.issued_facts
    Sheet.objects.filter(pk=sheet.pk).update(
        facts=sheet.facts | {"animal": asdict(replace(facts.animal, **animal))}
    )
    return Sheet.objects.get(pk=sheet.pk)


def test_words_that_were_written_otherwise_then_are_no_difference(lyra):
    sheet = issue_sheet(lyra, by=None, on=ON, language="de")
    assert sheet.issued_facts.animal.born == "März 2026"
    assert differences(in_other_words(sheet, born="im März 2026")) == ()


@pytest.mark.parametrize("language", ["de", "en"])
def test_one_from_before_has_only_words_and_is_compared_by_them(lyra, language):
    sheet = in_other_words(issue_sheet(lyra, by=None, on=ON, language=language), born_mark="")
    assert differences(sheet) == ()
    change_animal(lyra, born_on=cast.day("2026-04-01"))
    assert differences(Sheet.objects.get()) == ("the day of birth",)


def test_another_day_of_the_same_month_is_no_difference_and_another_month_is_one(lyra):
    sheet = issue_sheet(lyra, by=None, on=ON, language="de")
    change_animal(lyra, born_on=cast.day("2026-03-02"))
    assert differences(Sheet.objects.get(pk=sheet.pk)) == ()
    change_animal(lyra, born_on=cast.day("2026-04-02"))
    assert differences(Sheet.objects.get(pk=sheet.pk)) == ("the day of birth",)


class TestLettingGo:
    """What a buyer holds already is said when a reservation of theirs is let go."""

    SAID = "was issued to Kim Lund for this animal, and stays as issued"

    @pytest.fixture
    def kept(self, lyra, owner):
        kim = services.add_contact(by=owner, name="Kim Lund")
        return services.reserve_animal(lyra, contact=kim, on=clock.today(), by=owner)

    def let_go(self, client, kept):
        """What the page says before, and the receipt after."""
        address = address_of(kept)
        before = cast.words(client.get(address))
        return before, cast.words(client.post(address, {"reason": "No room."}, follow=True))

    def test_of_a_sheet_that_its_buyer_has(self, as_owner, kept):
        sheet = issue_sheet(kept.animal, by=None, on=clock.today(), contact=kept.contact)
        for said in self.let_go(as_owner, kept):
            assert f"Sheet {sheet.number} {self.SAID}" in said

    def test_of_none_of_another_buyer_or_withdrawn(self, as_owner, kept, owner):
        noor = services.add_contact(by=owner, name="Noor Berg")
        issue_sheet(kept.animal, by=None, on=clock.today(), contact=noor)
        own = issue_sheet(kept.animal, by=None, on=clock.today(), contact=kept.contact)
        withdraw_sheet(own, by=owner, on=clock.today(), reason="A slip.")
        for said in self.let_go(as_owner, kept):
            assert self.SAID not in said
        assert Reservation._base_manager.get().is_withdrawn
