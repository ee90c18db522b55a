"""The pages of traits: written down in two taps, shown where a keeper looks, put right."""

from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.buyers.services import add_contact
from breeding.buyers.waiting import add_wish, standing_wishes, what_fits
from breeding.program import clock
from breeding.sheets.contents.draft import draft_sheet
from breeding.traits.models import Trait, TraitLook
from breeding.traits.reading import reading_of
from tests import cast
from tests.buyers.litters import litter_of
from tests.cast import words
from tests.traits.cases import hidden_family, look, recessive

pytestmark = pytest.mark.django_db


def page(client, route, *args, language="en", **query):
    address = reverse(route, args=args)
    return words(client.get(address, query, headers={"accept-language": language}))


# ---------------------------------------------------------------------------------- written down


def test_a_trait_is_written_down_with_what_is_believed_of_it(as_keeper):
    sent = {"name": "Honey", "inheritance": "recessive", "certainty": "C", "founder_share": "5"}
    as_keeper.post(reverse("traits:new"), sent)
    honey = Trait.objects.get()
    assert honey.founder_share == Fraction(1, 20)
    told = page(as_keeper, "traits:detail", honey.pk)
    assert "recessive: shows only with two copies" in told
    assert "common practice, no source" in told
    assert (
        "it is assumed that 5 % of their genes are this one: 9 or 10 of 100 carry it and 2 of "
        "1,000 show it."
    ) in told
    assert "Nothing was seen yet that tells anything" in told


def test_what_is_believed_is_refused_where_it_cannot_be(as_keeper):
    sent = {"name": "Honey", "inheritance": "x_recessive", "certainty": "P", "founder_share": "0"}
    told = words(as_keeper.post(reverse("traits:new"), sent))
    assert "With 0 % or 100 % nobody could have it, or everybody" in told
    sent["founder_share"] = "5"
    told = words(as_keeper.post(reverse("traits:new"), sent))
    assert "Of which species? How its sexes are determined decides" in told
    assert "Where is it published?" in told
    assert not Trait.objects.exists()


def test_one_tap_and_save_write_down_what_an_animal_shows(as_keeper):
    honey, mira = recessive(), cast.female("Mira")
    told = page(as_keeper, "traits:look", animal=mira.pk)
    assert f'name="trait" value="{honey.pk}" checked' in told
    sent = {"animal": mira.pk, "trait": honey.pk, "what": "shows", "on": str(clock.today())}
    answer = as_keeper.post(reverse("traits:look"), sent, follow=True)
    assert "Written: Mira, Paper Honey: shows it." in words(answer)
    one = TraitLook.objects.get()
    assert (one.animal, one.what, one.sure_percent) == (mira, "shows", 100)


def test_two_copies_are_seen_of_a_codominant_trait_alone(as_keeper):
    honey, mira = recessive(), cast.female("Mira")
    sent = {"animal": mira.pk, "trait": honey.pk, "what": "twice", "on": str(clock.today())}
    assert "Of Paper Honey nobody can see two copies" in words(
        as_keeper.post(reverse("traits:look"), sent)
    )


def test_a_litter_is_told_in_one_table_and_only_what_changed_is_written(as_keeper):
    honey = recessive()
    dam, sire = cast.female("Mira"), cast.male("Deneb")
    litter = litter_of(dam, sire, today=clock.today())
    one, other, third = (pup.animal for pup in litter.pups.all())
    for animal in (dam, sire, one):
        look(honey, animal, "not")
    assert f'name="seen_{other.pk}"' in page(as_keeper, "traits:litter", litter.pk)
    sent = {f"seen_{one.pk}": "not", f"seen_{other.pk}": "shows", "on": str(clock.today())}
    answer = as_keeper.post(reverse("traits:litter", args=[litter.pk]), sent, follow=True)
    assert "Written: Paper Honey of 1 young of litter" in words(answer)
    assert TraitLook.objects.count() == 4
    # Both parents are proven by the one that shows it.
    assert "carrier with 67 %" in words(answer)
    assert reading_of(honey).chances(third.pk) == pytest.approx((0.25, 0.5, 0.25))
    again = words(as_keeper.post(reverse("traits:litter", args=[litter.pk]), sent))
    assert "Nothing is chosen that is not on record already" in again


# --------------------------------------------------------------------------------- where it shows


def test_an_animals_page_says_carrier_with_its_chance(as_viewer):
    honey = recessive()
    rigel, _, _, altair = hidden_family(honey)
    assert "carrier with 67 %" in page(as_viewer, "animals:detail", altair.pk)
    assert "carrier, proven by its parents or young" in page(as_viewer, "animals:detail", rigel.pk)
    assert "Träger mit 67 %" in page(as_viewer, "animals:detail", altair.pk, language="de")


def test_the_page_of_two_says_what_their_young_show(as_viewer):
    honey = recessive()
    _, _, mira, altair = hidden_family(honey)
    told = page(as_viewer, "planning:pair", female=mira.pk, male=altair.pk)
    assert "Of a litter of 4 at least one shows it with 62 %." in told
    assert "after 6 young that do not show it 95 % clear, after 8 99 %." in told


def test_a_sheet_says_carrier_with_its_chance_and_nothing_of_what_nobody_knows(owner):
    honey = recessive()
    _, _, _, altair = hidden_family(honey)
    stranger = cast.male("Deneb")

    def rows(animal):
        facts = draft_sheet(animal, program=cast.the_program(), by=None, on=clock.today()).facts
        return dict(facts.rows)

    assert rows(altair)["Traits"] == (
        "Paper Honey: carrier with 67 % (as far as each is inherited as this program believes)"
    )
    assert "Traits" not in rows(stranger)


def test_what_cannot_be_names_the_animals_and_the_ways_out(as_keeper):
    honey = recessive()
    rigel, vega = cast.male("Rigel"), cast.female("Vega")
    mira = cast.female("Mira", sire=rigel, dam=vega)
    for animal, seen in ((rigel, "shows"), (vega, "shows"), (mira, "not")):
        look(honey, animal, seen)
    told = page(as_keeper, "traits:detail", honey.pk)
    for name in ("Rigel", "Vega", "Mira"):
        assert name in told
    assert "cannot all be, as their parents are on record" in told
    assert "The sire of Mira is another." in told
    assert "The gene changed anew in Mira: a new mutation." in told
    assert "The trait is inherited otherwise: dominant." in told
    assert "What was seen cannot all be." in page(as_keeper, "traits:index")
    assert "cannot all be" in page(as_keeper, "animals:detail", mira.pk)
    assert "nothing can be said of their young" in page(
        as_keeper, "planning:pair", female=vega.pk, male=rigel.pk
    )


def test_a_look_and_a_test_of_one_animal_that_contradict_each_other_are_said_so(as_keeper):
    honey, mira = recessive(), cast.female("Mira")
    look(honey, mira, "shows")
    look(honey, mira, "copies_0")
    told = page(as_keeper, "traits:detail", honey.pk)
    assert "What was seen on Mira and what the test said cannot both be." in told
    assert "One of the two is wrong" in told


def test_ten_more_animals_ask_no_more_of_the_page_of_a_trait(as_viewer):
    honey = recessive()
    rigel, vega, *_ = hidden_family(honey)

    def asked():
        with CaptureQueriesContext(
            connection,
        ) as queries:
            page(as_viewer, "traits:detail", honey.pk, who="all")
        return len(queries)

    asked()
    before = asked()
    for number in range(10):
        look(honey, cast.ray(f"Star {number}", sire=rigel, dam=vega), "not")
    asked()
    assert asked() <= before


# --------------------------------------------------------------------------------- waiting list


def wish(**parts):
    ida = add_contact(by=None, name="Ida")
    return add_wish(ida, by=None, wished_on=clock.today(), **parts)


def fits_of_wishes():
    (row,) = what_fits(standing_wishes(), cast.the_program(), asof=clock.today())
    return row.fits


def test_a_wish_for_a_carrier_is_held_against_chances(owner):
    honey = recessive()
    dam, sire = cast.female("Mira"), cast.male("Deneb")
    litter = litter_of(dam, sire, today=clock.today())
    pale, other, _ = (pup.animal for pup in litter.pups.all())
    for parent in (dam, sire):
        look(honey, parent, "not")
    look(honey, pale, "shows")
    look(honey, other, "not")
    one = wish(trait=honey, trait_wanted="carries")
    found = {fit.animal.pk: fit for fit in fits_of_wishes()}
    assert found[other.pk].not_yet == ("Paper Honey: carrier with 67 %; wanted for certain",)
    assert found[pale.pk].against == ("no carrier of Paper Honey",)
    one.trait_least_percent = 60
    one.save()
    found = {fit.animal.pk: fit for fit in fits_of_wishes()}
    assert found[other.pk].is_fit


def test_a_wish_for_a_trait_of_which_nothing_is_known_never_fits(owner):
    honey = recessive()
    litter_of(cast.female("Mira"), cast.male("Deneb"), today=clock.today())
    wish(trait=honey, trait_wanted="shows", trait_least_percent=1)
    assert {fit.not_yet for fit in fits_of_wishes()} >= {
        ("whether it has Paper Honey is not known",)
    }


def test_a_wish_says_what_is_wanted_of_its_trait(as_keeper):
    honey = recessive()
    ida = add_contact(by=None, name="Ida")
    sent = {"wished_on": str(clock.today()), "trait": honey.pk}
    told = words(as_keeper.post(reverse("buyers:wish_new", args=[ida.pk]), sent))
    assert "Is Paper Honey to show, or to be carried?" in told
    sent |= {"trait_wanted": "carries", "trait_least_percent": "60"}
    as_keeper.post(reverse("buyers:wish_new", args=[ida.pk]), sent)
    told = page(as_keeper, "buyers:detail", ida.pk)
    assert "Carries Paper Honey with 60 % at least" in told
