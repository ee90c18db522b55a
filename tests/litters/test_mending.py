"""The pages that change a birth or a pup: filled in, said before, refused at the field."""

import pytest
import time_machine
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import change_animal
from breeding.litters.models import Litter, Pup
from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from breeding.program.acts.mending import change_address_of
from breeding.program.acts.once import new_token
from breeding.sheets.models import Sheet
from breeding.sheets.services import issue_sheet
from breeding.sheets.standing import standing_of
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def mira(owner):
    return cast.female("Mira")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb")


def birth(dam, *pups, days=10, **more):
    pups = pups or (PupFacts(),)
    return record_birth(dam=dam, born_on=ago(days), pups=pups, today=clock.today(), by=None, **more)


def send(client, keeper, record, **changes):
    """The change page of a record as it is sent, with these fields changed."""
    address = change_address_of(record)
    form = client.get(address).context["form"]
    sent = {}
    for bound in form:
        value = bound.value()
        if value not in (None, False, []):
            sent[bound.html_name] = getattr(value, "pk", value)
    return client.post(address, sent | changes | {"once": new_token(keeper)}, follow=True)


def test_the_page_of_a_birth_says_what_follows_before_it_is_changed(as_keeper, keeper, mira):
    litter = birth(mira, PupFacts(), PupFacts(), PupFacts(alive=False))
    for animal in Animal.objects.filter(dam=mira):
        issue_sheet(animal, by=keeper, on=clock.today())
    page = words(as_keeper.get(change_address_of(litter)))
    assert "2 living pups change with it: day of birth, dam, sires" in page
    assert "2 parentage sheets of them are out" in page
    assert "with the note that it differs from the records" in page


def test_a_corrected_birth_is_noted_on_the_sheets_that_are_out(as_keeper, keeper, mira, deneb):
    litter = birth(mira, parents=Parents(deneb))
    sheet = issue_sheet(Animal.objects.get(dam=mira), by=keeper, on=clock.today())
    assert standing_of(sheet).is_good
    vega, rigel = cast.female("Vega"), cast.male("Rigel")
    send(as_keeper, keeper, litter, dam=vega.pk, sire=rigel.pk, born_on=ago(11).isoformat())
    standing = standing_of(Sheet.objects.get())
    assert (standing.is_unaltered, standing.is_good) == (True, False)
    assert standing.verdict == "It differs from the records by now."
    assert "Corrected on record since it was issued: the day of birth, the dam and the sire." in (
        standing.reasons
    )
    page = words(as_keeper.get(Sheet.objects.get().get_absolute_url()))
    assert "Corrected on record since it was issued" in page


def test_saving_the_page_untouched_changes_nothing(as_keeper, keeper, mira, deneb):
    rigel, altair = cast.male("Rigel"), cast.male("Altair")
    half = cast.Fraction(1, 2)
    litter = birth(
        mira,
        PupFacts(),
        PupFacts(),
        PupFacts(),
        parents=Parents(None, mira, ((deneb, half), (rigel, half))),
    )
    change_animal(Animal.objects.get(code="26-01-2"), sire=altair, possible_sires=())
    answer = send(as_keeper, keeper, litter)
    assert "The birth of litter 26-01 is changed." in words(answer)
    sires = [(one.sire, one.possible_sires.count()) for one in Animal.objects.filter(dam=mira)]
    assert sires == [(None, 2), (altair, 0), (None, 2)]


def test_what_is_refused_stands_at_its_field_with_what_was_typed(as_keeper, keeper, mira):
    litter = birth(mira)
    page = send(as_keeper, keeper, litter, born_on="2026-11-26", note="darker")
    assert page.context["form"].errors["born_on"]
    assert "darker" in words(page)
    mate = cast.male("Young", born_on=ago(1))
    page = send(as_keeper, keeper, litter, sire=mate.pk)
    assert "a sire is older than its young" in page.context["form"].errors["sire"][0]
    shares = {"possible_sire_1": mate.pk, "possible_share_1": "1/2", "sire": ""}
    page = send(as_keeper, keeper, litter, **shares)
    assert "is older than its young" in page.context["form"].errors["possible_sire_1"][0]
    assert Litter.objects.get().note == ""


def test_a_birth_with_no_living_pup_asks_for_no_sire(as_keeper, mira):
    litter = birth(mira, PupFacts(alive=False))
    form = as_keeper.get(change_address_of(litter)).context["form"]
    assert list(form.fields) == ["dam", "born_on", "premature", "note"]


def test_the_page_of_a_pup_is_filled_in_and_changes_it(as_keeper, keeper, mira):
    birth(mira, PupFacts(sex="F", disc_width_mm=98, markings="ring"), PupFacts(alive=False))
    first, second = Pup.objects.order_by("number")
    page = words(as_keeper.get(change_address_of(first)))
    assert 'value="9.8"' in page
    assert "correct them there" in page
    answer = send(as_keeper, keeper, first, disc_width_mm="8.9", sex="M")
    assert "Pup 1 of litter 26-01 is changed." in words(answer)
    assert Animal.objects.get(code="26-01-1").measurements.get().disc_width_mm == 89
    send(as_keeper, keeper, second, fate="alive")
    assert Animal.objects.get(code="26-01-2").dam == mira


def test_a_pup_with_a_life_of_its_own_is_not_said_to_be_stillborn(as_keeper, keeper, mira):
    birth(mira, PupFacts(sex="F"), days=900)
    cast.ray("Grandchild", dam=Animal.objects.get(dam=mira), born_on=ago(50))
    page = send(as_keeper, keeper, Pup.objects.get(), fate="dead")
    assert "animal “Grandchild” rests on it" in page.context["form"].errors["fate"][0]


def test_a_litter_page_leads_to_all_that_puts_it_right(as_keeper, as_viewer, mira):
    litter = birth(mira, PupFacts(), PupFacts(alive=False))
    page = words(as_keeper.get(litter.get_absolute_url()))
    for pup in litter.pups.all():
        assert change_address_of(pup) in page
    for address in (
        change_address_of(litter),
        reverse("program:withdraw", args=["litter", litter.pk]),
        reverse("litters:join", args=[litter.pk]),
    ):
        assert address in page
        assert address not in words(as_viewer.get(litter.get_absolute_url()))


def test_a_withdrawn_birth_stays_readable_and_can_be_brought_back(as_keeper, keeper, mira):
    litter = birth(mira, PupFacts(), PupFacts())
    as_keeper.post(
        reverse("program:withdraw", args=["litter", litter.pk]),
        {"reason": "It was Vega", "once": new_token(keeper)},
    )
    page = words(as_keeper.get(litter.get_absolute_url()))
    assert "by Sam: It was Vega" in page
    assert "2 withdrawn pups" in page
    for offered in ("Correct the birth", "Sales page", "After the birth", "Before a pup leaves"):
        assert offered not in page
    answer = as_keeper.post(
        reverse("program:bring_back", args=["litter", litter.pk]),
        {"once": new_token(keeper)},
        follow=True,
    )
    assert "The birth of litter 26-01 counts again." in words(answer)
    assert Animal.objects.filter(dam=mira).count() == 2
