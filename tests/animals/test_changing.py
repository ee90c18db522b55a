"""An animal is changed by what was touched alone, and what was changed is undone to the day."""

from fractions import Fraction
from html.parser import HTMLParser

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.animals import lineage
from breeding.animals.mending.withdrawing import withdraw_animal
from breeding.animals.models import Animal, PossibleSire, ProfileFigure
from breeding.animals.services import change_animal, change_state
from breeding.buyers.hand_overs import hand_over, take_back
from breeding.buyers.models import HandOver, Reservation
from breeding.buyers.services import add_contact, reserve_animal
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.pairings.models import Pairing
from breeding.program import clock
from breeding.program.acts.once import belonging_to
from breeding.program.acts.undoing import undo
from breeding.program.models import Act
from breeding.program.queries import the_program
from tests import cast
from tests.cast import words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("species_data")]
HALF = Fraction(1, 2)


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


class Shown(HTMLParser):
    """What a page's forms would send if nobody touched them."""

    def __init__(self, answer):
        super().__init__()
        self.fields, self._select, self._text = {}, "", ""
        self.feed(answer.content.decode())

    def handle_starttag(self, tag, attrs):
        has = dict(attrs)
        if tag == "input" and has.get("name"):
            self.fields[has["name"]] = has.get("value") or ""
        elif tag == "select":
            self._select = has["name"]
            self.fields[self._select] = ""
        elif tag == "option" and "selected" in has:
            self.fields[self._select] = has["value"]
        elif tag == "textarea":
            self._text = has["name"]
            self.fields[self._text] = ""

    def handle_data(self, data):
        if self._text:
            self.fields[self._text] += data.strip()

    def handle_endtag(self, tag):
        if tag == "textarea":
            self._text = ""


def edit_page(client, animal):
    return Shown(client.get(reverse("animals:edit", args=[animal.pk]))).fields


def save(client, animal, shown, **typed):
    return client.post(reverse("animals:edit", args=[animal.pk]), {**shown, **typed})


def act_of(person, do):
    """What is done belongs to one act, as when a form is sent."""
    act = Act.objects.create(key=f"t.{Act.objects.count()}", person=person, at=clock.now(), door="")
    with belonging_to(act):
        do()
    return act


def undone(act, person):
    return undo(act, by=person, now=clock.now())


class TestAnOldForm:
    def test_it_does_not_raise_an_animal_that_died_meanwhile(self, as_keeper):
        vega = cast.female("Vega")
        shown = edit_page(as_keeper, vega)
        change_state(vega, state="died", on=cast.day("2026-11-20"))
        told = save(as_keeper, vega, shown, note="shy")
        assert "changed this while you had it open" in words(told)
        save(as_keeper, vega, Shown(told).fields)
        kept = Animal.objects.get()
        assert (kept.state, kept.state_on, kept.note) == ("died", cast.day("2026-11-20"), "shy")

    def test_saved_untouched_it_writes_nothing(self, as_keeper):
        sires = ((cast.male("Deneb"), HALF), (cast.male("Altair"), Fraction(1, 3)))
        vega = cast.female("Vega", possible_sires=sires, born_on=cast.day("2022-05-01"))
        before = list(PossibleSire.objects.values_list("pk", "sire", "share"))
        assert save(as_keeper, vega, edit_page(as_keeper, vega)).status_code == 302
        assert list(PossibleSire.objects.values_list("pk", "sire", "share")) == before
        assert Animal.objects.get(call_name="Vega").born_on == cast.day("2022-05-01")

    def test_without_what_was_shown_the_record_itself_is_compared(self, as_keeper):
        vega = cast.female("Vega", note="shy")
        shown = {
            name: value
            for name, value in edit_page(as_keeper, vega).items()
            if not name.startswith("initial-")
        }
        save(as_keeper, vega, shown, note="")
        assert Animal.objects.get().note == ""

    def test_two_who_change_the_possible_sires_do_not_overwrite_each_other(self, as_keeper):
        deneb, altair = cast.male("Deneb"), cast.male("Altair")
        vega = cast.female("Vega", possible_sires=((deneb, HALF),))
        shown = edit_page(as_keeper, vega)
        change_animal(vega, possible_sires=((altair, HALF),))
        told = save(as_keeper, vega, shown, possible_sire_1="")
        assert f"Somebody changed this to “{altair.full_name}” while you had it open." in words(
            told
        )
        assert PossibleSire.objects.get().sire == altair

    def test_how_the_possible_sires_were_is_read_on_the_spot(self, as_keeper):
        deneb, altair = cast.male("Deneb", code="R1"), cast.male("Altair", code="R2")
        vega = cast.female("Vega", possible_sires=((deneb, HALF),))
        save(as_keeper, vega, edit_page(as_keeper, vega), possible_sire_1=altair.pk)
        page = words(as_keeper.get(reverse("animals:edit", args=[vega.pk])))
        assert "possible sire taken out</span> <br>animal: Vega; sire: Deneb; share: 1/2" in page
        assert (
            "possible sire written down</span> <br>animal: Vega; sire: Altair; share: 1/2" in page
        )


class TestTheService:
    def test_one_parent_is_changed_and_the_other_stays(self):
        mira, deneb, altair = cast.female(), cast.male(), cast.male("Altair")
        vega = cast.female("Vega", dam=mira, sire=deneb)
        change_animal(vega, sire=altair)
        kept = Animal.objects.get(pk=vega.pk)
        assert (kept.dam, kept.sire) == (mira, altair)
        assert (vega.dam, vega.sire) == (mira, altair)

    def test_it_takes_the_row_as_it_is_now(self):
        vega = cast.female("Vega")
        stale = Animal.objects.get()
        change_state(vega, state="died", on=cast.day("2026-11-20"))
        change_animal(stale, note="shy")
        assert Animal.objects.get().state == "died"
        assert stale.state == "died"

    def test_what_is_refused_leaves_the_record_in_hand_as_it_was(self):
        vega = cast.female("Vega", born_on=cast.day("2026-11-01"))
        with pytest.raises(ValidationError, match="before Vega was born"):
            change_state(vega, state="died", on=cast.day("2026-10-01"))
        assert vega.state == "here"

    def test_a_withdrawn_animal_is_not_changed(self, keeper):
        vega = cast.female("Vega")
        withdraw_animal(vega, by=keeper, now=clock.now(), reason="twice")
        with pytest.raises(ValidationError, match="bring it back before it is changed"):
            change_animal(vega, note="shy")


class TestUndone:
    def test_a_change_of_dam_gives_the_lineage_back(self, keeper):
        mira, lyra = cast.female("Mira"), cast.female("Lyra")
        vega = cast.female("Vega", dam=mira)
        act = act_of(keeper, lambda: change_animal(vega, dam=lyra))
        assert lineage.current().pedigree.dam(vega.pk) == lyra.pk
        undone(act, keeper)
        assert lineage.current().pedigree.dam(vega.pk) == mira.pk

    def test_possible_sires_are_put_back_with_their_shares(self, keeper):
        deneb, altair = cast.male("Deneb"), cast.male("Altair")
        vega = cast.female("Vega", possible_sires=((deneb, HALF), (altair, HALF)))
        act = act_of(keeper, lambda: change_animal(vega, possible_sires=(), sire=deneb))
        assert not PossibleSire.objects.exists()
        undone(act, keeper)
        shares = {one.sire: one.share for one in PossibleSire.objects.select_related("sire")}
        assert shares == {deneb: HALF, altair: HALF}
        assert dict(lineage.current().pedigree.sires(vega.pk)) == {deneb.pk: 0.5, altair.pk: 0.5}
        assert Animal.objects.get(pk=vega.pk).sire is None

    def test_species_shares_are_put_back(self, keeper):
        mira, vega = cast.female(), cast.female("Vega", pure="motoro")
        act = act_of(keeper, lambda: change_animal(vega, dam=mira))
        assert not vega.species_shares.exists()
        undone(act, keeper)
        assert [one.species.key for one in vega.species_shares.all()] == ["motoro"]
        assert lineage.current().shares[vega.pk] == {cast.species().pk: 1}

    def test_what_would_make_a_loop_is_refused_by_name(self, keeper):
        mira = cast.female("Mira")
        vega = cast.female("Vega", dam=mira)
        act = act_of(keeper, lambda: change_animal(vega, dam=None))
        change_animal(mira, dam=vega)
        with pytest.raises(ValidationError, match="would be among its own ancestors") as said:
            undone(act, keeper)
        assert "Mira" in said.value.messages[0]
        assert "Vega" in said.value.messages[0]
        assert Animal.objects.get(pk=vega.pk).dam is None
        assert lineage.current().pedigree.dam(mira.pk) == vega.pk

    def test_a_parent_that_is_younger_by_now_is_refused(self, keeper):
        mira = cast.female("Mira")
        vega = cast.female("Vega", dam=mira, born_on=cast.day("2024-05-01"))
        act = act_of(keeper, lambda: change_animal(vega, dam=None))
        change_animal(mira, born_on=cast.day("2025-05-01"))
        with pytest.raises(ValidationError, match=r"Mira was born .* not before Vega"):
            undone(act, keeper)

    def test_a_parent_that_is_withdrawn_by_now_is_refused(self, keeper):
        mira = cast.female("Mira")
        vega = cast.female("Vega", dam=mira)
        act = act_of(keeper, lambda: change_animal(vega, dam=None))
        withdraw_animal(mira, by=keeper, now=clock.now(), reason="twice")
        with pytest.raises(ValidationError, match="the dam of Vega, is withdrawn"):
            undone(act, keeper)


def as_it_stands():
    """State, stays, reservations, hand-overs that count and pairings, to the day."""
    return {
        "state": sorted(Animal.objects.values_list("call_name", "state", "state_on")),
        "stays": sorted(Stay.objects.values_list("pk", "animal", "tank", "since", "until")),
        "kept": sorted(
            Reservation.objects.filter(withdrawn_at=None).values_list("pk", "fulfilled_on")
        ),
        "gone": sorted(
            HandOver.objects.filter(withdrawn_at=None).values_list("pk", "on", "came_back_on")
        ),
        "pairs": sorted(
            Pairing.objects.filter(withdrawn_at=None).values_list("pk", "separated_on"), key=str
        ),
    }


class TestADeathOrASaleUndone:
    @pytest.fixture
    def vega(self, keeper):
        """In a tank, together with Deneb and kept for Kim Lund."""
        vega, deneb = cast.female("Vega"), cast.male()
        pool = Tank.objects.create(name="Pool")
        for one in (vega, deneb):
            move_animal(one, pool, on=cast.day("2026-10-01"), by=None)
        self.kim = add_contact(by=None, name="Kim Lund")
        reserve_animal(vega, self.kim, by=None, on=cast.day("2026-11-01"))
        return vega

    def sell(self, vega):
        return hand_over(
            vega,
            self.kim,
            by=None,
            program=the_program(),
            on=cast.day("2026-11-24"),
            today=clock.today(),
            transport="own_car",
            has_read_cautions=True,
        )

    def test_a_death(self, as_keeper, vega):
        cast.pair(vega, Animal.objects.get(sex="M"), 40)
        before = as_it_stands()
        address = reverse("animals:state", args=[vega.pk])
        as_keeper.post(address, {"state": "died", "on": "2026-11-20"})
        assert as_it_stands() != before
        as_keeper.post(reverse("program:undo", args=[Act.objects.latest("pk").pk]))
        assert as_it_stands() == before

    def test_the_day_of_a_death_is_put_right_and_that_is_undone(self, as_keeper, vega):
        change_state(vega, state="died", on=cast.day("2026-11-20"))
        before = as_it_stands()
        address = reverse("animals:state", args=[vega.pk])
        shown = Shown(as_keeper.get(address)).fields
        assert (shown["state"], shown["on"]) == ("died", "2026-11-20")
        as_keeper.post(address, {**shown, "on": "2026-11-18"})
        assert Animal.objects.get(pk=vega.pk).state_on == cast.day("2026-11-18")
        as_keeper.post(reverse("program:undo", args=[Act.objects.latest("pk").pk]))
        assert as_it_stands() == before

    def test_a_sale_and_then_it_is_sold_again(self, keeper, vega):
        before = as_it_stands()
        act = act_of(keeper, lambda: self.sell(vega))
        assert Animal.objects.get(pk=vega.pk).state == "left"
        undone(act, keeper)
        assert as_it_stands() == before
        vega.refresh_from_db()
        assert self.sell(vega).reservation == Reservation.objects.get()

    def test_undoing_a_sale_is_undone_too(self, keeper, vega):
        act = act_of(keeper, lambda: self.sell(vega))
        sold = as_it_stands()
        again = act_of(keeper, lambda: undone(act, keeper))
        undone(again, keeper)
        assert as_it_stands() == sold
        assert HandOver.objects.get().reservation == Reservation.objects.get()

    def test_a_coming_back(self, keeper, vega):
        gone = self.sell(vega)
        before = as_it_stands()
        act = act_of(
            keeper,
            lambda: take_back(
                gone, on=clock.today(), today=clock.today(), because="it hid", by=keeper
            ),
        )
        assert Animal.objects.get(pk=vega.pk).state == "here"
        undone(act, keeper)
        assert as_it_stands() == before


class TestFigures:
    def test_what_somebody_else_changed_meanwhile_is_said_beside_the_figure(self, as_keeper):
        profile = cast.species().profile
        address = reverse("animals:figures", args=[profile.pk])
        shown = Shown(as_keeper.get(address)).fields
        mean = profile.figures.get(name="gestation_mean_days")
        mean.value = 101
        mean.save()
        told = as_keeper.post(address, {**shown, "gestation_mean_days_value": "99"})
        assert "Somebody changed this to “101” while you had it open." in words(told)
        assert ProfileFigure.objects.get(pk=mean.pk).value == 101
        again = Shown(told).fields
        assert again["gestation_mean_days_value"] == "99"
        assert as_keeper.post(address, again).status_code == 302
        assert ProfileFigure.objects.get(pk=mean.pk).value == 99

    def test_two_who_change_different_figures_keep_both(self, as_keeper):
        profile = cast.species().profile
        address = reverse("animals:figures", args=[profile.pk])
        shown = Shown(as_keeper.get(address)).fields
        mean = profile.figures.get(name="gestation_mean_days")
        mean.value = 101
        mean.save()
        as_keeper.post(address, {**shown, "sperm_kept_days_value": "44"})
        figures = {one.name: one.value for one in profile.figures.all()}
        assert figures["gestation_mean_days"] == 101
        assert figures["sperm_kept_days"] == 44
