"""Whatever is written of animals, sold, dead or changed: no page says what was before."""

import random
from contextlib import suppress

import pytest
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError, Q
from django.urls import reverse

from benchmarks.started import forget_everything
from breeding.animals import revisions
from breeding.animals.models import Animal, SpeciesShare
from breeding.buyers.models import Contact, HandOver, Reservation, Wish
from breeding.housing.models import Stay, Tank, WaterSystem
from breeding.pairings.models import Pairing
from breeding.program import clock
from breeding.program.acts.once import FIELD, new_token
from breeding.program.models import Act
from breeding.words.days import long_day
from tests import cast
from tests.agenda.held import few, pages, told, write
from tests.cast import ago
from tests.tries import tries

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("nothing_kept")]
STEPS = 8
STATES = ("here", "left", "left", "died", "died", "on_loan")
ROUTES = (
    *("buyers:waiting", "buyers:wishes", "buyers:index", "housing:index", "housing:tanks"),
    *("planning:state", "planning:waiting", "health:index", "health:quarantine", "feeding:index"),
    *("animals:index", "litters:losses"),
)


@pytest.fixture
def keeper(owner):
    """Of a few animals, a tank for quarantine beside another, and two who wait for young."""
    client = few(owner)
    system = WaterSystem.objects.create(name="Loop")
    Tank.objects.create(name="Apart", kind=Tank.Kind.QUARANTINE, system=system)
    Tank.objects.filter(name="Cove").update(system=system)
    for n, name in enumerate(("Kim", "Lee")):
        contact = Contact.objects.create(name=name)
        Wish.objects.create(contact=contact, wished_on=ago(200), sex="FM"[n])
    return client


def every_page():
    return [*pages(), *map(reverse, ROUTES)]


def some_animal(draw):
    return draw.choice(list(Animal.every.order_by("pk")))


def written_of_animals(draw):
    """One that goes, comes back, or of which something is put right; one more, or one less."""
    acts = ["state"] * 4 + ["sold"] * 2 + ["name", "sex", "born", "parents", "species"]
    act = draw.choice([*acts, "added", "removed", "withdrawn", "kept_for", "back"])
    one = some_animal(draw)
    with suppress(IntegrityError, ProtectedError), transaction.atomic():
        {
            "state": stands,
            "sold": is_sold,
            "back": comes_back,
            "kept_for": is_kept_for,
            "removed": is_removed,
        }.get(act, changed_in(act))(draw, one)
    return act, one.name


def stands(draw, one):
    state, on = draw.choice(STATES), draw.choice([ago(0), ago(0), ago(1), ago(30), ago(70), None])
    Animal.every.filter(pk=one.pk).update(state=state, state_on=None if state == "here" else on)
    if draw.random() < 0.5 and state != "here" and on is not None:
        Stay.objects.filter(animal=one, until=None, since__lte=on).update(until=on)


def is_sold(draw, one):
    contact = draw.choice(list(Contact.objects.order_by("pk")))
    HandOver.objects.create(animal=one, contact=contact, on=ago(0), transport="own_car")
    Reservation.objects.filter(animal=one, fulfilled_on=None).update(fulfilled_on=ago(0))
    Stay.objects.filter(animal=one, until=None).update(until=ago(0))
    Animal.every.filter(pk=one.pk).update(state="left", state_on=ago(0))


def comes_back(draw, one):
    gone = list(HandOver.objects.filter(came_back_on=None).order_by("pk"))
    if gone:
        away = draw.choice(gone)
        away.came_back_on = ago(0)
        away.save()
        Animal.every.filter(pk=away.animal_id).update(state="here", state_on=None)


def is_kept_for(draw, one):
    contact = draw.choice(list(Contact.objects.order_by("pk")))
    Reservation.objects.create(animal=one, contact=contact, reserved_on=ago(1))


def is_removed(draw, one):
    SpeciesShare.objects.filter(animal=one).delete()
    one.delete()
    revisions.parentage_changed()


def changed_in(act):
    def change(draw, one):
        row = Animal.every.filter(pk=one.pk)
        if act == "name":
            row.update(call_name=draw.choice(["Sirius", "Procyon", ""]))
        elif act == "sex":
            row.update(sex=draw.choice("FMU"))
        elif act == "born":
            on = draw.choice([None, ago(2500), ago(300), ago(100)])
            row.update(born_on=on, born_precision="day" if on else "unknown")
        elif act == "parents":
            founders = list(Animal.objects.filter(born_on=ago(2500)).order_by("pk"))
            if founders and (not one.born_on or one.born_on > ago(2000)):
                males = [other for other in founders if other.sex == "M" and other != one]
                SpeciesShare.objects.filter(animal=one).delete()  # they follow from the sire
                row.update(sire=draw.choice([None, *males]))
        elif act == "species":
            SpeciesShare.objects.filter(animal=one).update(species=cast.species("leopoldi"))
        elif act == "added":
            cast.ray(draw.choice(["", "Izar"]), draw.choice("FMU"), born_on=ago(300))
        elif not Animal.every.filter(Q(dam=one) | Q(sire=one)).exists():
            row.update(withdrawn_at=draw.choice([None, clock.now()]))
        revisions.parentage_changed()

    return change


@pytest.mark.parametrize("seed", range(tries(4)))
def test_no_page_says_what_an_animal_was_before(keeper, seed):
    draw = random.Random(seed)
    every = every_page()
    told(keeper, every)
    for _ in range(STEPS):
        written = [written_of_animals(draw) for _ in range(draw.choice([1, 1, 2]))]
        if draw.random() < 0.3:
            written.append(write(draw))
        kept = told(keeper, every)
        if draw.random() < 0.6:
            forget_everything()
            anew = told(keeper, every)
            for page, words in kept.items():
                assert words == anew[page], (page, written)


def as_if_anew(client, every):
    kept = told(client, every)
    forget_everything()
    assert kept == told(client, every)
    return kept


SOLD = {"transport": "own_car", "has_read_cautions": "on", "sure": "all", "reason": "Asked for"}


@pytest.mark.parametrize("state", ["left", "died", "sold"])
@pytest.mark.parametrize("name", ["Alya", "Rigel", "Vega"])
def test_one_that_goes_and_is_back_by_undoing_it_renews_the_same(keeper, owner, name, state):
    one = Animal.objects.get(call_name=name)
    Pairing.objects.filter(separated_on=None).update(separated_on=ago(3))
    every, reader = every_page(), cast.signed_in(cast.keeper())  # who is told of no act
    before = told(reader, every)
    page, typed = reverse("animals:state", args=[one.pk]), {"state": state}
    if state == "sold":
        page = reverse("buyers:hand_over", args=[one.pk])
        typed = SOLD | {"contact": Contact.objects.order_by("pk")[0].pk}
    sent = {**typed, "on": ago(0), FIELD: new_token(owner)}
    assert keeper.post(page, sent).status_code == 302
    one.refresh_from_db()
    assert one.state == ("left" if state == "sold" else state)
    assert as_if_anew(reader, every) != before
    act = Act.objects.latest("pk")
    undone = keeper.post(reverse("program:undo", args=[act.pk]), {FIELD: new_token(owner)})
    assert undone.status_code == 302
    one.refresh_from_db()
    assert one.state == "here"
    assert as_if_anew(reader, every) == before


def moved(name, tank, on):
    one, to = Animal.objects.get(call_name=name), Tank.objects.get(name=tank)
    Stay.objects.filter(animal=one, until=None).update(until=on)
    Stay.objects.create(animal=one, tank=to, since=on)


def test_who_comes_into_the_same_water_begins_the_quarantine_of_who_could_be_bred_again(keeper):
    moved("Lyra", "Apart", ago(5))  # whose water Cove shares
    every = every_page()
    words = "is in quarantine, 30 days from {day}"
    begun, again = (words.format(day=long_day(day)) for day in (ago(5), ago(0)))
    assert begun in told(keeper, every)[reverse("planning:season")]
    moved("Rigel", "Cove", ago(0))
    assert f"{again}, when Rigel was added" in as_if_anew(keeper, every)[reverse("planning:season")]


def test_a_male_who_is_moved_is_with_other_females_from_then_on(keeper):
    every, season = every_page(), reverse("planning:season")
    assert "first; is with Deneb, Rigel" in told(keeper, every)[season]  # Vega, in Cove
    moved("Deneb", "Pond", ago(0))
    after = as_if_anew(keeper, every)[season]
    assert "first; is with Rigel Males" in after
    assert "Lyra: probably carries a litter by Rigel already" in after
    assert "is with Rigel, Deneb Mira" in after
