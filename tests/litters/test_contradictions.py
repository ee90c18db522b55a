"""A pup's own page cannot contradict its litter silently; what contradicts already is said."""

import pytest
import time_machine
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.litters.models import Litter, Pup
from breeding.litters.queries import contradicting_pups
from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from breeding.program.acts.once import new_token
from breeding.program.queries import the_program
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db
ASKED = "would contradict that. Say below what is right."


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def mira(owner):
    return cast.female("Mira")


@pytest.fixture
def vega(owner):
    return cast.female("Vega")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb")


def contradictions():
    """Of all litters, however old."""
    return contradicting_pups()


def birth(dam, number=2, days=10, **more):
    pups = [PupFacts()] * number
    return record_birth(dam=dam, born_on=ago(days), pups=pups, today=clock.today(), by=None, **more)


def coded(code):
    return Animal.objects.get(code=code)


def send(client, keeper, animal, **changes):
    """The form of an animal as its page sends it, with these fields changed."""
    form = client.get(reverse("animals:edit", args=[animal.pk])).context["form"]
    sent = {}
    for bound in form:
        value = bound.value()
        sent[bound.html_name] = "" if value is None else getattr(value, "pk", value)
        if bound.field.show_hidden_initial:
            sent[bound.html_initial_name] = sent[bound.html_name]
    sent |= changes | {"once": new_token(keeper)}
    return client.post(reverse("animals:edit", args=[animal.pk]), sent, follow=True)


def test_another_dam_is_asked_about_and_nothing_is_written(as_keeper, keeper, mira, vega):
    birth(mira)
    page = words(send(as_keeper, keeper, coded("26-01-1"), dam=vega.pk))
    assert "26-01-1 is pup 1 of litter 26-01, Mira" in page
    assert f"another dam {ASKED}" in page
    assert "Correct the whole of litter 26-01" in page
    assert "take it out" in page
    assert coded("26-01-1").dam == mira


def test_the_answer_corrects_the_whole_litter(as_keeper, keeper, mira, vega):
    birth(mira)
    page = send(
        as_keeper, keeper, coded("26-01-1"), dam=vega.pk, call_name="Alcor", settle="litter"
    )
    assert "Alcor (26-01-1) is saved." in words(page)
    assert {one.dam for one in Animal.objects.filter(code__startswith="26-01-")} == {vega}
    litter = Litter.objects.get()
    assert (litter.dam, litter.outcome.female) == (vega, vega)
    assert coded("26-01-1").call_name == "Alcor"


def test_the_answer_moves_the_pup_to_the_litter_of_that_dam(as_keeper, keeper, mira, vega, deneb):
    birth(mira)
    other = birth(vega, days=8, parents=Parents(deneb))
    page = words(send(as_keeper, keeper, coded("26-01-1"), dam=vega.pk))
    assert "Move it to litter 26-02, Vega" in page
    send(as_keeper, keeper, coded("26-01-1"), dam=vega.pk, settle=f"move-{other.pk}")
    pup = Pup.objects.get(animal__code="26-01-1")
    assert (pup.litter, pup.animal.dam, pup.animal.sire, pup.animal.born_on) == (
        other,
        vega,
        deneb,
        ago(8),
    )


def test_the_answer_takes_the_pup_out_and_it_stands_alone(as_keeper, keeper, mira, vega):
    litter = birth(mira)
    send(as_keeper, keeper, coded("26-01-1"), dam=vega.pk, settle="out")
    assert coded("26-01-1").dam == vega
    assert [pup.animal.code for pup in litter.pups.all()] == ["26-01-2"]
    assert contradictions() == []


def test_another_day_is_asked_about_and_moves_the_litter(as_keeper, keeper, mira):
    litter = birth(mira)
    first = coded("26-01-1")
    on = ago(12).isoformat()
    page = words(send(as_keeper, keeper, first, born=on))
    assert f"another day of birth {ASKED}" in page
    send(as_keeper, keeper, first, born=on, settle="litter")
    assert {one.born_on for one in Animal.objects.filter(dam=mira)} == {ago(12)}
    assert Litter.objects.get(pk=litter.pk).outcome.on == ago(12)


def test_another_sire_can_be_that_of_this_pup_alone_or_of_all(as_keeper, keeper, mira, deneb):
    rigel = cast.male("Rigel")
    birth(mira, parents=Parents(deneb))
    page = words(send(as_keeper, keeper, coded("26-01-1"), sire=rigel.pk))
    assert f"another sire {ASKED}" in page
    assert "take it out" not in page
    send(as_keeper, keeper, coded("26-01-1"), sire=rigel.pk, settle="alone")
    assert [coded(code).sire for code in ("26-01-1", "26-01-2")] == [rigel, deneb]
    assert contradictions() == []
    send(as_keeper, keeper, coded("26-01-2"), sire=cast.male("Altair").pk, settle="litter")
    assert {one.sire.name for one in Animal.objects.filter(dam=mira)} == {"Altair"}


@pytest.mark.parametrize("answer", ["", "x", "move-99", "alone"])
def test_an_answer_that_is_not_offered_is_asked_again(as_keeper, keeper, mira, vega, answer):
    birth(mira)
    page = send(as_keeper, keeper, coded("26-01-1"), dam=vega.pk, settle=answer)
    assert page.status_code == 200
    assert ASKED in words(page)
    assert coded("26-01-1").dam == mira


def test_what_contradicts_nothing_is_not_asked_about(as_keeper, keeper, mira):
    birth(mira)
    page = words(send(as_keeper, keeper, coded("26-01-1"), call_name="Alcor", markings="ring"))
    assert "Alcor (26-01-1) is saved." in page


def test_what_the_litter_cannot_be_is_said_on_the_page(as_keeper, keeper, mira, vega):
    birth(mira)
    birth(vega, days=20)
    page = words(send(as_keeper, keeper, coded("26-01-1"), dam=vega.pk, settle="litter"))
    assert "Vega has litter 26-02" in page
    assert Litter.objects.get(code="26-01").dam == mira


# ------------------------------------------------------------------------------- already


def test_what_contradicts_already_is_said_on_the_day_the_litter_and_the_animal(
    as_keeper, mira, vega
):
    litter = birth(mira)
    Animal.objects.filter(code="26-01-1").update(dam=vega, born_on=ago(12))
    said = (
        "26-01-1 stands in litter 26-01 of Mira, born 15 November 2026, but on its own record its "
        "dam is Vega and it was born 13 November 2026."
    )
    assert [one.words for one in contradictions()] == [said]
    lines = the_day(the_program(), today=clock.today()).lines
    assert [line.why for line in lines if line.kind.key == "pup_contradicts"] == [said]
    for address in (litter.get_absolute_url(), coded("26-01-1").get_absolute_url()):
        page = words(as_keeper.get(address))
        assert said in page
        assert "Move it to another litter" in page


def test_an_animal_whose_dam_had_a_litter_that_day_may_be_of_it(as_keeper, mira):
    litter = birth(mira)
    alone = cast.ray("Alcor", dam=mira, born_on=ago(9))
    page = words(as_keeper.get(alone.get_absolute_url()))
    assert "is no pup of it on record" in page
    assert reverse("litters:join", args=[litter.pk]) in page


def test_an_animal_of_a_litter_shows_it(as_viewer, mira):
    litter = birth(mira, number=3)
    page = words(as_viewer.get(coded("26-01-2").get_absolute_url()))
    assert "Pup 2 of" in page
    assert litter.get_absolute_url() in page
    assert "3 pups of Mira" in page


def test_the_move_page_moves_and_says_what_follows(as_keeper, keeper, mira, vega):
    birth(mira)
    other = birth(vega, days=8)
    pup = Pup.objects.get(animal__code="26-01-2")
    address = reverse("litters:move_pup", args=[pup.pk])
    assert "26-02 of Vega, born 17 November 2026" in words(as_keeper.get(address))
    answer = as_keeper.post(address, {"to": other.pk, "once": new_token(keeper)}, follow=True)
    assert "26-01-2 is pup 3 of litter 26-02 now" in words(answer)
    refused = as_keeper.post(address, {"to": 999, "once": new_token(keeper)})
    assert "errorlist" in words(refused)
