"""Animals, measurements and pictures are put right: changed, withdrawn, brought back, undone."""

from fractions import Fraction
from io import BytesIO

import pytest
import time_machine
from django.urls import reverse
from PIL import Image

from breeding.animals import lineage
from breeding.animals.mending.withdrawing import withdraw_animal
from breeding.animals.models import Animal, Measurement, Photograph
from breeding.animals.services import add_measurement, add_photograph, change_animal
from breeding.buyers.hand_overs import hand_over
from breeding.buyers.services import add_contact, reserve_animal
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import in_no_tank
from breeding.housing.services import move_animal, stays_over
from breeding.litters.services import PupFacts, record_birth
from breeding.origin.papers import add_origin_paper
from breeding.pairings.season.facts import females_here
from breeding.planning import queries as planning
from breeding.program import clock
from breeding.program.acts.mending import address_of, change_address_of
from breeding.program.acts.resting import parts_of
from breeding.program.models import Act
from breeding.program.queries import the_program
from breeding.sheets.services import issue_sheet
from tests import cast
from tests.cast import ago, words

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("species_data")]
WHY = {"reason": "She is Mira, written twice"}


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def pool():
    return Tank.objects.create(name="Pool")


def a_picture(animal, *, taken_on="2026-11-03", **more):
    out = BytesIO()
    Image.new("RGB", (400, 300), (90, 80, 70)).save(out, "JPEG")
    out.seek(0)
    return add_photograph(animal, out, by=None, taken_on=cast.day(taken_on), **more)


def weighed(animal, grams=900, on="2026-11-03"):
    return add_measurement(animal, by=None, on=cast.day(on), weight_g=grams)


def withdraw(client, record, **facts):
    return client.post(address_of(record), facts or WHY, follow=True)


def bring_back(client, record):
    kind = address_of(record).split("/")[2]
    return client.post(reverse("program:bring_back", args=[kind, record.pk]), follow=True)


def whole_animal(pool, name="Vega"):
    """One with a stay, two figures, a picture, a paper and a species."""
    vega = cast.female(name, pure="motoro", code="R7", born_on=cast.day("2022-05-01"))
    move_animal(vega, pool, on=cast.day("2026-10-01"), by=None)
    weighed(vega)
    weighed(vega, 950, "2026-11-10")
    a_picture(vega)
    add_origin_paper(vega, by=None, today=clock.today(), permit_number="12/7")
    return vega


class TestAnAnimalWrittenByMistake:
    def test_it_goes_with_all_that_is_only_its_own_and_comes_back_with_it(self, as_keeper, pool):
        vega = whole_animal(pool)
        page = words(as_keeper.get(address_of(vega)))
        assert "With it goes what is only its own:" in page
        said = words(withdraw(as_keeper, vega))
        assert "Vega (R7) is withdrawn and no longer counts. With it went" in said
        for own in ("2 measurements", "1 photograph", "1 stay", "1 origin paper"):
            assert own in said
        assert not Measurement.objects.exists()
        assert not Photograph.objects.exists()
        assert not Stay.objects.exists()
        said = words(bring_back(as_keeper, vega))
        assert "Vega (R7) counts again. With it came" in said
        assert Measurement.objects.count() == 2
        assert Stay.objects.get().until is None
        assert Animal.objects.get().portrait == Photograph.objects.get()

    def test_what_was_withdrawn_before_stays_withdrawn(self, as_keeper, pool):
        vega = whole_animal(pool)
        withdraw(as_keeper, vega.measurements.first(), reason="misread")
        withdraw(as_keeper, vega)
        bring_back(as_keeper, vega)
        assert [one.weight_g for one in Measurement.objects.all()] == [900]

    @pytest.mark.parametrize(
        "address",
        [
            "/",
            "/animals/",
            "/animals/?q=R7",
            "/animals/new/",
            "/tanks/",
            "/pairings/log/",
            "/pairings/new/",
            "/litters/new/",
            "/planning/",
            "/planning/table/",
            "/planning/state/",
            "/planning/what-if/",
            "/planning/season/",
        ],
    )
    def test_it_stands_on_no_page(self, as_keeper, pool, address):
        vega = whole_animal(pool)
        deneb = cast.male()
        move_animal(deneb, pool, on=cast.day("2026-10-01"), by=None)
        assert "Vega" in words(as_keeper.get(address))
        withdraw(as_keeper, vega)
        as_keeper.post(reverse("program:put_away", args=[_last_act().pk]))
        assert "Vega" not in words(as_keeper.get(address))

    @pytest.mark.parametrize(
        ("called", "read"),
        [
            ("animals", lambda: list(Animal.objects.values_list("call_name", flat=True))),
            ("lineage", lambda: list(lineage.current().pedigree.ids)),
            ("species", lambda: list(lineage.current().shares)),
            ("females here", lambda: [one.pk for one in females_here(clock.today())]),
            ("company", lambda: [one.animal_id for one in stays_over(clock.today())]),
            ("in no tank", lambda: [one.pk for one in in_no_tank()]),
            ("planned with", planning.living_keys),
        ],
        ids=lambda one: one if isinstance(one, str) else "",
    )
    def test_it_answers_no_question(self, keeper, pool, called, read):
        before = read()
        vega = whole_animal(pool)
        if called != "in no tank":
            assert read() != before
        withdraw_animal(vega, by=keeper, now=clock.now(), reason="twice")
        assert read() == before

    def test_its_page_stays_readable_and_offers_no_acts(self, as_keeper, as_viewer, pool):
        vega = whole_animal(pool)
        withdraw(as_keeper, vega)
        page = words(as_keeper.get(vega.get_absolute_url()))
        assert "Withdrawn on Wed 25 Nov 2026, 12:00 by Sam: She is Mira, written twice" in page
        assert "Vega in Pool since 1 October 2026" in page
        assert "950 g" in page
        assert f'<a class="act" href="{address_of(vega)}">Bring it back</a>' in page
        for act in ("edit", "state", "measure", "photograph"):
            address = reverse(f"animals:{act}", args=[vega.pk])
            assert address not in page
            assert as_keeper.get(address).status_code == 404
        assert "Bring it back" not in words(as_viewer.get(vega.get_absolute_url()))

    def test_the_code_may_be_given_again_and_then_it_does_not_come_back(self, as_keeper, pool):
        vega = whole_animal(pool)
        withdraw(as_keeper, vega)
        other = cast.female("Lyra", code="R7")
        page = words(bring_back(as_keeper, vega))
        assert "The code R7 was given to Lyra meanwhile; no two animals share one." in page
        assert Animal.objects.get() == other

    def test_the_program_itself_gives_no_code_twice(self, keeper):
        first = cast.female("Vega")
        withdraw_animal(first, by=keeper, now=clock.now(), reason="twice")
        assert cast.female("Lyra").code != first.code

    def test_one_whose_dam_is_withdrawn_does_not_come_back_before_her(self, as_keeper):
        dam = cast.female("Mira")
        vega = cast.female("Vega", dam=dam)
        withdraw(as_keeper, vega)
        withdraw(as_keeper, dam)
        page = words(bring_back(as_keeper, vega))
        assert f"{dam.full_name}, a parent of Vega, is withdrawn; bring it back first." in page
        bring_back(as_keeper, dam)
        bring_back(as_keeper, vega)
        assert lineage.current().pedigree.dam(vega.pk) == dam.pk

    def test_a_part_of_it_does_not_come_back_alone(self, as_keeper, pool):
        vega = whole_animal(pool)
        one = vega.measurements.first()
        withdraw(as_keeper, vega)
        page = words(bring_back(as_keeper, one))
        assert "It belongs to Vega, which is withdrawn; bring that back first." in page
        assert not Measurement.objects.exists()

    def test_undone_it_counts_again_with_all_that_went(self, as_keeper, pool):
        vega = whole_animal(pool)
        before = everything_of(vega)
        withdraw(as_keeper, vega)
        undo_last(as_keeper)
        assert everything_of(vega) == before

    def test_written_down_and_undone_it_is_withdrawn(self, as_keeper):
        as_keeper.post("/animals/new/", new_animal(call_name="Vega", species_1=motoro()))
        vega = Animal.objects.get()
        undo_last(as_keeper)
        assert not Animal.objects.exists()
        assert "undone by who wrote it" in words(as_keeper.get(vega.get_absolute_url()))
        assert vega.pk not in lineage.current().pedigree

    def test_a_pup_of_a_litter_goes_and_its_litter_can_be_read(self, as_keeper):
        litter = record_birth(
            dam=cast.female(), born_on=ago(5), pups=[PupFacts()] * 2, today=clock.today(), by=None
        )
        pup = litter.pups.first().animal
        assert "1 stay" not in words(withdraw(as_keeper, pup))
        assert not Animal.objects.filter(pk=pup.pk).exists()
        assert as_keeper.get(litter.get_absolute_url()).status_code == 200


def a_young(vega):
    return cast.ray("Alya", dam=vega).get_absolute_url()


def a_possible_young(vega):
    altair = cast.male("Altair")
    change_animal(vega, sex="M")
    half = Fraction(1, 2)
    return cast.ray("Alya", possible_sires=((vega, half), (altair, half))).get_absolute_url()


def a_pairing(vega):
    return cast.pair(vega, cast.male(), 40, 30).get_absolute_url()


def a_sighting_with_her_picture(vega):
    cast.see(vega, 3)
    return reverse("pairings:female", args=[vega.pk])


def a_litter(vega):
    litter = record_birth(
        dam=vega, born_on=ago(5), pups=[PupFacts(alive=False)], today=clock.today(), by=None
    )
    return litter.get_absolute_url()


def a_sheet(vega):
    return issue_sheet(vega, by=None, on=ago(3)).get_absolute_url()


def kim():
    return add_contact(by=None, name="Kim Lund")


def a_reservation(vega):
    return reserve_animal(vega, kim(), by=None, on=clock.today()).contact.get_absolute_url()


def a_hand_over(vega):
    handed_over(vega)
    return vega.get_absolute_url()


def handed_over(animal):
    return hand_over(
        animal,
        kim(),
        by=None,
        program=the_program(),
        on=clock.today(),
        today=clock.today(),
        transport="own_car",
        has_read_cautions=True,
    )


@pytest.mark.parametrize(
    "make",
    [
        a_young,
        a_possible_young,
        a_pairing,
        a_sighting_with_her_picture,
        a_litter,
        a_sheet,
        a_reservation,
        a_hand_over,
    ],
)
def test_an_animal_on_which_others_rest_is_not_withdrawn(as_keeper, make):
    vega = cast.female("Vega")
    address = make(vega)
    page = words(as_keeper.get(address_of(vega)))
    assert "It cannot be withdrawn while this rests on it:" in page
    assert f'<a href="{address}">' in page
    assert "Vega cannot be withdrawn, because" in words(withdraw(as_keeper, vega))
    assert Animal.objects.filter(pk=vega.pk).exists()


class TestAMeasurement:
    def test_it_is_changed_and_how_it_was_is_read_on_the_spot(self, as_keeper):
        one = weighed(cast.female("Vega"), 900)
        address = change_address_of(one)
        page = as_keeper.post(
            address, {"on": "2026-11-02", "weight_g": "980", "note": "the other scale"}, follow=True
        )
        assert "The measurement of Vega on Mon 2 Nov 2026 is changed." in words(page)
        one.refresh_from_db()
        assert (one.on, one.weight_g) == (cast.day("2026-11-02"), 980)
        page = words(as_keeper.get(address))
        assert "weight: from 900 g to 980 g" in page
        assert "Wed 25 Nov 2026, 12:00, Sam: changed" in page

    def test_a_width_shown_rounded_stays_when_the_note_is_changed(self, as_keeper):
        cast.the_program(length_unit="in")
        one = add_measurement(
            cast.female("Vega"), by=None, on=cast.day("2026-11-03"), disc_width_mm=105
        )
        facts = {"on": "2026-11-03", "disc_width_mm": "4.1", "note": "by the new tape"}
        as_keeper.post(change_address_of(one), facts)
        one.refresh_from_db()
        assert (one.disc_width_mm, one.note) == (105, "by the new tape")

    def test_it_is_not_moved_before_the_birth(self, as_keeper):
        one = weighed(cast.female("Vega", born_on=cast.day("2026-10-01")))
        answer = as_keeper.post(change_address_of(one), {"on": "2026-09-01", "weight_g": "900"})
        assert "1 September 2026 is before Vega was born" in words(answer)
        assert Measurement.objects.get().on == cast.day("2026-11-03")

    def test_a_withdrawn_one_is_folded_on_her_page_with_the_way_back(self, as_keeper):
        one = weighed(cast.female("Vega"), 900)
        withdraw(as_keeper, one, reason="it was Mira")
        page = words(as_keeper.get(one.animal.get_absolute_url()))
        assert "Not measured yet." in page
        assert "Withdrawn: 1 measurement or picture" in page
        assert "it was Mira (Sam, Wed 25 Nov, 12:00)" in page
        assert "The measurement of Vega on Tue 3 Nov 2026 counts again." in words(
            bring_back(as_keeper, one)
        )
        assert Measurement.objects.get() == one


class TestAPicture:
    def test_withdrawn_the_latest_other_is_the_portrait(self, as_keeper):
        vega = cast.female("Vega")
        older, middle = (a_picture(vega, taken_on=on) for on in ("2026-09-01", "2026-10-01"))
        newest = a_picture(vega, taken_on="2026-11-01")
        withdraw(as_keeper, newest)
        assert Animal.objects.get().portrait == middle
        withdraw(as_keeper, older)
        assert Animal.objects.get().portrait == middle
        withdraw(as_keeper, middle)
        assert Animal.objects.get().portrait is None
        bring_back(as_keeper, older)
        assert Animal.objects.get().portrait == older

    def test_put_on_the_wrong_animal_it_is_moved_with_the_portrait(self, as_keeper):
        vega, lyra = cast.female("Vega"), cast.female("Lyra")
        older = a_picture(vega, taken_on="2026-09-01")
        wrong = a_picture(vega)
        facts = {"animal": lyra.pk, "taken_on": "2026-11-03", "as_portrait": "on"}
        page = as_keeper.post(change_address_of(wrong), facts, follow=True)
        assert "The photograph of Lyra, Tue 3 Nov 2026 is changed." in words(page)
        assert {one.call_name: one.portrait for one in Animal.objects.all()} == {
            "Vega": older,
            "Lyra": wrong,
        }
        undo_last(as_keeper)
        assert {one.call_name: one.portrait for one in Animal.objects.all()} == {
            "Vega": wrong,
            "Lyra": None,
        }

    def test_no_more_the_portrait_the_other_is(self, as_keeper):
        vega = cast.female("Vega")
        older, newest = (a_picture(vega, taken_on=on) for on in ("2026-09-01", "2026-10-01"))
        as_keeper.post(change_address_of(newest), {"animal": vega.pk, "caption": "blurred"})
        newest.refresh_from_db()
        assert Animal.objects.get().portrait == older
        assert (newest.caption, newest.taken_on) == ("blurred", None)

    def test_one_that_was_taken_with_a_sighting_stays_with_it(self, as_keeper):
        vega, lyra = cast.female("Vega"), cast.female("Lyra")
        seen = cast.see(vega, 3)
        seen.photograph = a_picture(vega)
        seen.save()
        answer = as_keeper.post(change_address_of(seen.photograph), {"animal": lyra.pk})
        assert "It was taken with sighting “Vega: Mating”" in words(answer)
        assert Photograph.objects.get().animal == vega

    @pytest.mark.parametrize(
        ("day", "said"),
        [
            ("2026-11-26", "is still to come; today or before."),
            ("1712-11-26", "is too long ago; the earliest year is"),
            ("2019-12-31", "is before Vega was born"),
        ],
    )
    def test_a_day_that_no_new_picture_may_have_is_not_given_to_an_old_one(
        self, as_keeper, day, said
    ):
        one = a_picture(cast.female("Vega", born_on=cast.day("2020-01-01")))
        answer = as_keeper.post(
            change_address_of(one), {"animal": one.animal_id, "taken_on": day, "as_portrait": "on"}
        )
        assert said in words(answer)
        assert Photograph.objects.get().taken_on == one.taken_on

    def test_withdrawn_it_can_still_be_looked_at(self, as_keeper):
        one = a_picture(cast.female("Vega"))
        withdraw(as_keeper, one, reason="it shows Mira")
        shown = as_keeper.get(reverse("animals:picture", args=[one.pk]))
        assert b"".join(shown.streaming_content).startswith(b"\xff\xd8")
        page = words(as_keeper.get(one.animal.get_absolute_url()))
        assert "No portrait yet." in page
        assert "it shows Mira" in page


def _last_act():
    return Act.objects.latest("pk")


def undo_last(client):
    return client.post(reverse("program:undo", args=[_last_act().pk]), follow=True)


def motoro():
    return cast.species().pk


def new_animal(**facts):
    empty = dict.fromkeys(("call_name", "born", "markings", "note", "state_on"), "")
    return {**empty, "sex": "F", "origin": "unknown", "state": "here", **facts}


def everything_of(animal):
    """Every field of the animal and of each of its parts."""
    records = [Animal.every.get(pk=animal.pk), *parts_of(animal)]
    return sorted(
        (one._meta.label, one.pk, *(str(getattr(one, f.attname)) for f in one._meta.fields))
        for one in records
    )
