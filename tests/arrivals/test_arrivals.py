"""New animals came: one or several at once, from whom, for what, and as what kin."""

import datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.animals import lineage
from breeding.animals.models import Animal, AssumedKin
from breeding.animals.parents.assuming import Belief, assume_kin
from breeding.animals.parents.descent import descent_of_young
from breeding.arrivals.models import Arrival
from breeding.arrivals.services import change_arrival, write_how_it_came
from breeding.buyers.models import Contact
from breeding.housing.models import Stay, Tank
from breeding.pairings.models import Scan
from breeding.program.models import Act
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db
FULL, HALF, UNKNOWN = "full", "half", "unknown"


@pytest.fixture
def ida():
    return Contact.objects.create(name="Ida Holm")


def came(animal, contact, on=None, **facts):
    return write_how_it_came(
        animal, by=None, today=ago(0), contact=contact, on=on or ago(3), **facts
    )


def a_pair_of(contact):
    mira, deneb = cast.female(), cast.male()
    came(mira, contact)
    came(deneb, contact)
    return mira, deneb


def hold(one, other, degree=FULL, certainty=1.0):
    return assume_kin([Belief(one, other, degree, certainty)], by=None)[0]


def f_of_young(sire, dam):
    return lineage.current().pedigree.kinship(sire.pk, dam.pk)


def typed(**more):
    return {
        "new_name": "Ida Holm",
        "on": ago(1).isoformat(),
        "origin": "elsewhere",
        "call_name_1": "Lyra",
        "sex_1": "F",
        "call_name_2": "Castor",
        "sex_2": "M",
        **more,
    }


def test_two_come_at_once_from_somebody_new_into_quarantine(as_keeper):
    tank = Tank.objects.create(name="Q1", kind="quarantine")
    page = as_keeper.get(reverse("arrivals:new"))
    assert page.context["form"].initial["tank"] == tank.pk
    sent = typed(price_together="100,01", currency="eur", tank=tank.pk, country="Brazil")
    answer = as_keeper.post(reverse("arrivals:new"), sent)
    arrivals = list(Arrival.objects.order_by("pk"))
    assert answer.url == reverse("arrivals:kin", args=[arrivals[0].pk])
    assert [one.animal.name for one in arrivals] == ["Lyra", "Castor"]
    assert [one.price for one in arrivals] == [Decimal("50.01"), Decimal("50.00")]
    assert {one.contact.name for one in arrivals} == {"Ida Holm"}
    assert {one.animal.country for one in arrivals} == {"Brazil"}
    assert Stay.objects.filter(tank=tank, since=ago(1), until=None).count() == 2
    page = words(as_keeper.get(answer.url))
    assert "Of 1 pair nobody has said yet." in page


def test_sent_twice_is_once(as_keeper):
    sent = typed(once="a-token-of-the-form")
    for _ in range(2):
        as_keeper.post(reverse("arrivals:new"), sent)
    assert Arrival.objects.count() == 2
    assert Contact.objects.count() == 1


def test_what_is_wrong_stands_beside_its_field_and_nothing_is_written(as_keeper):
    for wrong, said in (
        ({"on": ago(-2).isoformat()}, "still to come"),
        ({"new_name": ""}, "From whom did they come?"),
        ({"price_together": "20"}, "In which currency?"),
        ({"pregnant_2": "yes"}, "Castor is not recorded as a female"),
        ({"call_name_1": "", "sex_1": "U", "call_name_2": "", "sex_2": "U"}, "Who came?"),
    ):
        assert said in words(as_keeper.post(reverse("arrivals:new"), typed(**wrong))), wrong
    assert not Arrival.objects.exists()
    assert not Animal.objects.exists()
    assert not Contact.objects.exists()


def test_rows_that_say_nothing_stay_folded_when_the_form_is_refused(as_keeper):
    fold = "<summary>More animals of the same seller</summary>"
    page = words(as_keeper.post(reverse("arrivals:new"), typed(on="soon")))
    assert f"<details> {fold}" in page
    page = words(as_keeper.post(reverse("arrivals:new"), typed(on="soon", call_name_7="Vega")))
    assert f"<details open> {fold}" in page


def test_pups_on_a_scan_are_a_scan_of_hers(as_keeper):
    as_keeper.post(reverse("arrivals:new"), typed(pregnant_1="scan"))
    (scan,) = Scan.objects.all()
    assert (scan.female.name, scan.on, scan.positive) == ("Lyra", ago(1), True)
    page = words(as_keeper.get(reverse("animals:detail", args=[scan.female_id])))
    assert "Pups seen on a scan." in page


def test_how_one_on_record_came_is_said_and_changed(as_keeper, ida):
    mira = cast.female()
    sent = {"contact": ida.pk, "on": ago(9).isoformat(), "price": "20", "currency": "EUR"}
    as_keeper.post(reverse("arrivals:came", args=[mira.pk]), sent)
    arrival = Arrival.objects.get()
    assert (arrival.animal, arrival.contact, arrival.price) == (mira, ida, 20)
    page = words(as_keeper.get(mira.get_absolute_url()))
    assert "Ida Holm</a>. Price: 20.00 EUR." in page
    with pytest.raises(ValidationError, match="How this animal came on that day"):
        came(mira, ida, on=arrival.on)
    change_arrival(arrival, today=ago(0), contact=None, on=ago(8), price=None)
    arrival.refresh_from_db()
    assert (arrival.contact, arrival.price, arrival.currency) == (None, None, "")


def test_sellers_and_prices_are_for_who_may_see_buyers(as_viewer, ida):
    mira = cast.female()
    came(mira, ida, price=Decimal(20), currency="EUR", papers="CITES 12", note="by Ida")
    page = words(as_viewer.get(mira.get_absolute_url()))
    assert "Came on" in page
    for secret in ("Ida", "20.00", "CITES 12"):
        assert secret not in page
    for route, args in (("index", []), ("loans", []), ("year", [ida.pk])):
        assert as_viewer.get(reverse(f"arrivals:{route}", args=args)).status_code == 403


# ------------------------------------------------------------------------------ assumed kinship


@pytest.mark.parametrize(
    ("degree", "certainty", "expected"),
    [(FULL, 1.0, 1 / 4), (HALF, 1.0, 1 / 8), (FULL, 0.75, 3 / 16), ("none", 1.0, 0.0)],
)
def test_what_is_held_counts_in_the_f_of_their_young(ida, degree, certainty, expected):
    mira, deneb = a_pair_of(ida)
    assert f_of_young(deneb, mira) == 0
    hold(mira, deneb, degree, certainty)
    assert f_of_young(deneb, mira) == expected


def test_until_it_is_said_nobody_knows_and_the_pair_says_so(as_keeper, ida):
    mira, deneb = a_pair_of(ida)
    asks = "came from one seller on one day; nobody knows whether they are kin"
    pair_page = f"{reverse('planning:pair')}?female={mira.pk}&male={deneb.pk}"
    table = f"{reverse('planning:table')}?young_too=on"
    assert f"Mira and Deneb {asks}" in words(as_keeper.get(pair_page))
    assert "0 ?" in words(as_keeper.get(table))
    hold(mira, deneb, UNKNOWN, None)
    assert asks in words(as_keeper.get(pair_page))
    hold(mira, deneb, "none", 1.0)
    assert asks not in words(as_keeper.get(pair_page))
    assert "0 ?" not in words(as_keeper.get(table))


def test_young_of_them_carry_the_question_on(ida):
    mira, deneb = a_pair_of(ida)
    vega, altair = cast.female("Vega"), cast.male("Altair")
    hers = cast.female("Nashira", dam=mira, sire=altair)
    his = cast.male("Rigel", dam=vega, sire=deneb)
    assert "Mira and Deneb came from one seller" in descent_of_young(his, hers).open_kin
    assert not descent_of_young(altair, vega).open_kin


def test_of_other_species_or_another_day_nothing_is_asked(ida):
    mira, deneb = cast.female(pure="motoro"), cast.male(pure="leopoldi")
    came(mira, ida)
    came(deneb, ida)
    assert not descent_of_young(deneb, mira).open_kin
    vega = cast.female("Vega")
    came(vega, ida, on=ago(9))
    assert not descent_of_young(deneb, vega).open_kin


def test_f_says_what_rests_on_an_assumption(ida):
    mira, deneb = a_pair_of(ida)
    hold(mira, deneb, FULL, 0.75)
    said = descent_of_young(deneb, mira).said.sentence
    assert said.startswith(
        "at least 18.75 % (3/16), all of which rests on the assumption that Mira and Deneb are "
        "full siblings (75 % sure)"
    )
    young = cast.male("Rigel", sire=deneb, dam=cast.female("Vega"))
    hers = cast.female("Nashira", sire=deneb, dam=mira)
    said = descent_of_young(young, hers).said.sentence
    assert "of which 4.6875 % rests" in said or "of which 4.69 % rests" in said


def test_all_of_a_group_are_answered_at_once_and_one_pair_otherwise(as_keeper, ida):
    three = [cast.female(), cast.male(), cast.male("Rigel")]
    arrivals = [came(one, ida) for one in three]
    address = reverse("arrivals:kin", args=[arrivals[0].pk])
    as_keeper.post(address, {"everybody": "half", "certainty": "50"})
    assert AssumedKin.objects.count() == 3
    assert {f_of_young(one, three[0]) for one in three[1:]} == {1 / 16}
    as_keeper.post(address, {"everybody": "", "pair_0": "full", "sure_0": "100"})
    assert f_of_young(three[0], three[1]) == 1 / 4
    assert AssumedKin.objects.count() == 3


def test_what_cannot_all_be_is_refused_and_nothing_changes(ida):
    mira, deneb, rigel = cast.female(), cast.male(), cast.male("Rigel")
    hold(mira, deneb)
    hold(deneb, rigel)
    assert f_of_young(rigel, mira) == 1 / 4  # it follows from the other two
    with pytest.raises(ValidationError, match="Mira, Deneb and Rigel cannot all be"):
        hold(mira, rigel, "none", 1.0)
    assert f_of_young(rigel, mira) == 1 / 4


def test_of_one_with_a_parent_on_record_nothing_is_assumed():
    mira, deneb = cast.female(), cast.male()
    young = cast.male("Rigel", dam=mira)
    with pytest.raises(ValidationError, match="A parent of Rigel is on record"):
        hold(young, deneb)


def test_no_page_shows_a_parent_that_nobody_wrote_down(as_keeper, ida):
    mira, deneb = a_pair_of(ida)
    hold(mira, deneb)
    young = cast.female("Nashira", sire=deneb, dam=mira)
    for page in (
        young.get_absolute_url(),
        reverse("origin:detail", args=[young.pk]),
        reverse("planning:state"),
    ):
        said = words(as_keeper.get(page))
        assert "Unrecorded" not in said, page
    page = words(as_keeper.get(young.get_absolute_url()))
    assert "The assumed sire of Mira and Deneb" in page
    assert lineage.current().pedigree.ancestors(young.pk) == {mira.pk, deneb.pk}


def test_undone_the_assumption_counts_no_more(as_keeper, ida):
    mira, deneb = a_pair_of(ida)
    arrival = Arrival.objects.filter(animal=mira).get()
    address = reverse("arrivals:kin", args=[arrival.pk])
    as_keeper.post(address, {"everybody": "full", "certainty": "100"})
    assert f_of_young(deneb, mira) == 1 / 4
    as_keeper.post(reverse("program:undo", args=[Act.objects.latest("pk").pk]))
    assert f_of_young(deneb, mira) == 0
    assert "Mira and Deneb came from one seller" in descent_of_young(deneb, mira).open_kin


def test_the_kin_page_costs_no_more_with_more_animals(
    as_keeper, ida, django_assert_max_num_queries
):
    arrivals = [came(cast.ray(f"Ray {number}"), ida) for number in range(8)]
    with django_assert_max_num_queries(20):
        as_keeper.get(reverse("arrivals:kin", args=[arrivals[0].pk]))


def test_a_day_still_to_come_is_refused(ida):
    with pytest.raises(ValidationError, match="still to come"):
        came(cast.female(), ida, on=ago(0) + datetime.timedelta(days=1))


def test_one_born_here_did_not_come_from_anywhere(as_viewer):
    unknown = "How it came is not written down."
    pup = cast.ray("Alya", origin=Animal.Origin.BORN_HERE)
    page = words(as_viewer.get(pup.get_absolute_url()))
    assert unknown not in page
    assert "Born here." in page
    assert unknown in words(as_viewer.get(cast.ray("Vega").get_absolute_url()))
