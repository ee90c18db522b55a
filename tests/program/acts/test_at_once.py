"""Of two that cannot both be, sent in one moment, the second is refused in words; none is a 500."""

import datetime

import pytest
from django.urls import reverse

from breeding.animals import lineage, revisions
from breeding.animals.models import Animal
from breeding.buyers.models import HandOver, Reservation
from breeding.buyers.services import add_contact
from breeding.housing.models import Stay, Tank
from breeding.litters.models import Litter
from breeding.pairings.models import Outcome, Pairing
from breeding.planning.models import PlannedPairing
from breeding.program import clock
from breeding.program.acts.once import new_token
from breeding.program.models import Act
from tests import cast
from tests.at_once import a_database_for_several, send_at_once

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def several(owner, tmp_path):
    with a_database_for_several(tmp_path):
        yield


@pytest.fixture
def at_once(several, owner, monkeypatch):
    """Sends forms in one moment; none of the answers is a fault of the server."""

    def send(*forms, last=-1):
        answers = send_at_once(monkeypatch, owner, list(forms), last=last)
        assert [one.status_code for one in answers if one.status_code >= 500] == []
        return answers

    return send


def written(answers):
    return [one for one in answers if one.status_code == 302]


def refused(answers):
    """The words of the one that was not written."""
    (one,) = [one for one in answers if one.status_code != 302]
    return cast.words(one)


def changed(animal, **more):
    form = {"call_name": animal.name, "sex": animal.sex, "origin": "unknown", "state": "here"}
    return reverse("animals:edit", args=[animal.pk]), form | more


@pytest.mark.parametrize("last", [0, 1])
def test_two_that_name_each_other_as_sire_are_no_loop(at_once, last):
    deneb, rigel = cast.male("Deneb"), cast.male("Rigel")
    answers = at_once(
        changed(deneb, sire=rigel.pk),
        changed(rigel, sire=deneb.pk),
        last=last,
    )
    assert len(written(answers)) == 1
    assert "an animal cannot be among its own ancestors" in refused(answers)
    assert Animal.objects.filter(sire__isnull=False).count() == 1
    lineage.current()  # raises LineageLoop


@pytest.mark.parametrize("last", [0, 1])
def test_three_in_a_ring_are_no_loop(at_once, last):
    ring = [cast.male(name) for name in ("Deneb", "Rigel", "Altair")]
    answers = at_once(
        *(changed(one, sire=ring[number - 1].pk) for number, one in enumerate(ring)), last=last
    )
    assert len(written(answers)) == 2
    lineage.current()


def test_undoing_and_changing_at_once_are_no_loop(at_once, as_owner, owner):
    deneb, rigel = cast.male("Deneb"), cast.male("Rigel", sire=cast.male("Altair"))
    cast.male("Vela", sire=rigel)
    address, form = changed(rigel)
    as_owner.post(address, form | {"once": new_token(owner), "sire": deneb.pk})
    as_owner.post(address, form | {"once": new_token(owner), "sire": ""})
    act = Act.objects.first()
    answers = at_once((reverse("program:undo", args=[act.pk]), {}), changed(deneb, sire=rigel.pk))
    assert len(written(answers)) == 1
    lineage.current()


def test_what_a_page_had_read_of_the_lineage_is_asked_anew(several, owner):
    from django.db import transaction

    from breeding.program.frame.memory import for_one_request

    with for_one_request():
        before = revisions.current().lineage
        with transaction.atomic():
            revisions.Revision.objects.update(lineage="another")
            assert revisions.current().lineage == before
            revisions.hold()
            assert revisions.current().lineage == "another"


def test_two_births_of_one_female_are_one_litter(at_once):
    mira = cast.female("Mira", born_on=cast.ago(1500))
    pups = {"pups-TOTAL_FORMS": 2, "pups-INITIAL_FORMS": 0}
    pups |= {f"pups-{number}-fate": "alive" for number in range(2)}
    form = {"dam": mira.pk, "born_on": clock.today().isoformat(), **pups}
    answers = at_once(*[(reverse("litters:new"), form)] * 2)
    assert len(written(answers)) == 1
    assert "Mira" in refused(answers)
    assert (Litter.objects.count(), Outcome.objects.count()) == (1, 1)
    assert Animal.objects.filter(dam=mira).count() == 2


def test_births_of_two_females_at_once_are_two_litters_with_codes_of_their_own(at_once):
    dams = [cast.female(name, born_on=cast.ago(1500)) for name in ("Mira", "Vega")]
    form = {"born_on": clock.today().isoformat(), "pups-TOTAL_FORMS": 1}
    form |= {"pups-INITIAL_FORMS": 0, "pups-0-fate": "alive"}
    answers = at_once(*((reverse("litters:new"), form | {"dam": dam.pk}) for dam in dams))
    assert len(written(answers)) == 2
    assert len(set(Litter.objects.values_list("code", flat=True))) == 2
    assert Animal.objects.filter(dam__isnull=False).count() == 2


def pairing_of(female, male):
    """The form as its page has shown it."""
    seen = {"looked_at": f"{female.pk}-{male.pk}", "save": "1"}
    return seen | {
        "female": female.pk,
        "male": male.pk,
        "introduced_on": clock.today().isoformat(),
    }


@pytest.mark.parametrize("last", [0, 1])
def test_an_animal_is_paired_or_handed_over_but_not_both(at_once, last):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    ida = add_contact(by=None, name="Ida")
    form = {"on": cast.ago(1).isoformat(), "transport": "own_car", "has_read_cautions": "on"}
    answers = at_once(
        (reverse("pairings:new"), pairing_of(mira, deneb)),
        (reverse("buyers:hand_over", args=[mira.pk]), form | {"contact": ida.pk}),
        last=last,
    )
    assert "Mira" in refused(answers)
    assert Pairing.objects.count() + HandOver.objects.count() == 1


def test_two_pairings_of_the_same_two_are_one(at_once):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    form = pairing_of(mira, deneb)
    answers = at_once(*[(reverse("pairings:new"), form)] * 2)
    assert len(written(answers)) == 1
    assert "are recorded as together" in refused(answers)
    assert Pairing.objects.count() == 1


def test_two_plans_of_the_same_two_are_one(at_once):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    form = {"pair": f"{mira.pk}-{deneb.pk}"}
    at_once(*[(reverse("planning:accept"), form)] * 2)
    assert PlannedPairing.objects.count() == 1


def test_a_pairing_that_is_ended_twice_keeps_the_first_end(at_once):
    pairing = cast.pair(cast.female("Mira"), cast.male("Deneb"), 9)
    address = reverse("pairings:separate", args=[pairing.pk])
    answers = at_once(
        (address, {"on": cast.ago(1).isoformat(), "moved": ""}),
        (address, {"on": cast.ago(3).isoformat(), "moved": ""}),
        last=1,
    )
    assert len(written(answers)) == 1
    assert "apart since" in refused(answers)
    pairing.refresh_from_db()
    assert pairing.separated_on == cast.ago(1)


def test_an_animal_is_handed_to_one_of_two_buyers(at_once):
    mira = cast.female("Mira", born_on=cast.ago(500))
    buyers = [add_contact(by=None, name=name) for name in ("Ida", "Ole")]
    form = {"on": clock.today().isoformat(), "transport": "own_car", "has_read_cautions": "on"}
    address = reverse("buyers:hand_over", args=[mira.pk])
    answers = at_once(*((address, form | {"contact": one.pk}) for one in buyers))
    assert len(written(answers)) == 1
    assert "Mira" in refused(answers)
    assert HandOver.objects.count() == 1


def test_an_animal_is_reserved_for_one_of_two_buyers(at_once):
    mira = cast.female("Mira", born_on=cast.ago(500))
    buyers = [add_contact(by=None, name=name) for name in ("Ida", "Ole")]
    form = {"until": (clock.today() + datetime.timedelta(days=9)).isoformat()}
    address = reverse("buyers:reserve", args=[mira.pk])
    answers = at_once(*((address, form | {"contact": one.pk}) for one in buyers))
    assert len(written(answers)) == 1
    assert "Mira" in refused(answers)
    assert Reservation.objects.count() == 1


def test_an_animal_that_is_moved_to_two_tanks_is_in_one(at_once):
    mira = cast.female("Mira")
    tanks = [Tank.objects.create(name=name) for name in ("Bay", "Pool")]
    form = {"on": clock.today().isoformat()}
    address = reverse("housing:move", args=[mira.pk])
    at_once(*((address, form | {"tank": f"{tank.pk}"}) for tank in tanks))
    assert Stay.objects.filter(animal=mira, until__isnull=True).count() == 1


def test_two_tanks_of_one_name_are_one(at_once):
    form = {"name": "Bay", "kind": "breeding"}
    answers = at_once(*[(reverse("housing:new"), form)] * 2)
    assert len(written(answers)) == 1
    assert "Bay" in refused(answers)


def test_new_animals_at_once_have_codes_of_their_own(at_once):
    form = {"sex": "F", "origin": "unknown", "state": "here"}
    names = ("Mira", "Vega", "Nova", "Lyra")
    answers = at_once(*((reverse("animals:new"), form | {"call_name": one}) for one in names))
    assert len(written(answers)) == 4
    assert len(set(Animal.objects.values_list("code", flat=True))) == 4


def test_of_two_new_animals_of_one_name_the_second_is_asked_about(at_once):
    form = {"call_name": "Mira", "sex": "F", "origin": "unknown", "state": "here"}
    answers = at_once(*[(reverse("animals:new"), form)] * 2)
    assert len(written(answers)) == 1
    assert "Mira" in refused(answers)


@pytest.mark.parametrize("last", [0, 1])
def test_an_animal_withdrawn_while_it_becomes_a_sire_is_one_of_the_two(at_once, last):
    deneb, mira = cast.male("Deneb"), cast.female("Mira")
    answers = at_once(
        (reverse("program:withdraw", args=["animal", deneb.pk]), {"reason": "twice"}),
        changed(mira, sire=deneb.pk),
        last=last,
    )
    assert len(written(answers)) == 1
    lineage.current()
    deneb.refresh_from_db()
    assert deneb.is_withdrawn != Animal.objects.filter(sire=deneb).exists()


def test_four_that_undo_one_act_undo_it_once(at_once, as_owner, owner):
    form = {"name": "Bay", "kind": "breeding", "once": new_token(owner)}
    as_owner.post(reverse("housing:new"), form)
    act = Act.objects.get()
    at_once(*[(reverse("program:undo", args=[act.pk]), {})] * 4)
    assert Act.objects.filter(undoes=act).count() == 1
