"""What planning keeps from page to page is what it would say anew, whatever was written since."""

import re

import pytest
from django.urls import reverse

from benchmarks.started import forget_everything
from breeding.animals.models import Animal, Measurement, Species
from breeding.animals.revisions import figures_changed, parentage_changed
from breeding.buyers.models import Contact, Wish
from breeding.feeding.models import Feeding, Food, Meal
from breeding.health.models import Observation, Treatment
from breeding.housing.models import Look, Stay, Tank
from breeding.litters.models import Litter, Pup, Verdict
from breeding.pairings.models import Outcome, Pairing, Sighting
from breeding.planning.models import PlannedPairing
from breeding.planning.season import plan as season_plan
from breeding.planning.season import readiness
from breeding.program import clock
from breeding.program.models import Program
from breeding.program.services import withdraw
from tests import cast
from tests.cast import ago, see

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("nothing_kept")]
OF_ONE_REQUEST = re.compile(r'name="(csrfmiddlewaretoken|once)" value="[^"]*"|csrf[^,]*')


@pytest.fixture
def house(owner):
    """Two litters of unrelated pairs; a daughter of each with a litter whose pup is here, and
    a son of each."""
    found, tank = {}, Tank.objects.create(name="North", kind="breeding")
    Tank.objects.create(name="South", kind="breeding")
    for family in ("A", "B"):
        gone = {"pure": "motoro", "born_on": ago(4000), "state": "left", "state_on": ago(900)}
        parents = {
            "sire": cast.male(f"Sire {family}", **gone),
            "dam": cast.female(f"Dam {family}", **gone),
        }
        found[f"son {family}"] = cast.male(f"Son {family}", born_on=ago(2500), **parents)
        dam = cast.female(f"Daughter {family}", born_on=ago(2500), **parents)
        found[f"daughter {family}"] = dam
        Stay.objects.create(animal=dam, tank=tank, since=ago(300))
        born = Outcome.objects.create(female=dam, on=ago(100), kind="live_birth")
        litter = Litter.objects.create(
            code=f"L-{family}", dam=dam, born_on=ago(100), outcome=born, recorded_by=owner
        )
        pup = cast.female(f"Pup {family}", born_on=ago(100), dam=dam, sire=found[f"son {family}"])
        Pup.objects.create(litter=litter, number=1, animal=pup, sex="F", recorded_by=owner)
        found[f"pup {family}"], found[f"litter {family}"] = pup, litter
    for one in list(found.values()):
        if isinstance(one, Animal):
            Measurement.objects.create(
                animal=one,
                on=ago(20),
                disc_width_mm=300 if "Pup" in one.name else 480,
                recorded_by=owner,
            )
    found["tank"], found["by"] = tank, owner
    contact = Contact.objects.create(name="Marie", recorded_by=owner)
    found["wish"] = Wish.objects.create(contact=contact, wished_on=ago(10), recorded_by=owner)
    found["sighting"] = see(found["daughter B"], 30)
    parentage_changed()
    return found


def pages(house):
    her, him = house["daughter A"], house["son B"]
    names = ("litters", "season", "state", "year", "waiting", "what_if")
    found = {name: reverse(f"planning:{name}") for name in names}
    found["litter"] = reverse("planning:litter", args=[house["litter A"].pk])
    found["pair"] = reverse("planning:pair") + f"?female={her.pk}&male={him.pk}"
    return found


def told(client, house):
    """Each page without what is another in every request."""
    found = {}
    for name, page in pages(house).items():
        answer = client.get(page)
        assert answer.status_code == 200
        found[name] = OF_ONE_REQUEST.sub("", answer.content.decode())
    return found


def set_of(one, **facts):
    for name, value in facts.items():
        setattr(one, name, value)
    one.save()


def fed(house):
    food = Food.objects.create(name="Shrimp", recorded_by=house["by"])
    at = clock.now()
    round_ = Feeding.objects.create(food=food, fed_at=at, recorded_by=house["by"])
    Meal.objects.create(feeding=round_, animal=house["daughter A"], fed_at=at, took=Meal.Took.NONE)


def other_parents(house):
    set_of(house["son B"], sire=Animal.objects.get(call_name="Sire A"))
    parentage_changed()


def another_figure(house):
    one = Species.objects.get(key="motoro").profile.figures.get(name="mature_female_days")
    set_of(one, value=9000)
    figures_changed()


ACTS = {
    "seen": lambda house: see(house["daughter A"]),
    "bitten": lambda house: see(house["daughter A"], 0, "fresh_bite_marks", severity=3),
    "a sighting withdrawn": lambda house: withdraw(
        house["sighting"], by=house["by"], now=clock.now(), reason="It was not she."
    ),
    "measured": lambda house: Measurement.objects.create(
        animal=house["son B"], on=clock.today(), disc_width_mm=560, recorded_by=house["by"]
    ),
    "looked at": lambda house: Look.objects.create(
        tank=house["tank"], on=clock.today(), recorded_by=house["by"]
    ),
    "fed": fed,
    "ill": lambda house: Observation.objects.create(
        animal=house["son B"], kind="other", since=ago(1), recorded_by=house["by"]
    ),
    "treated": lambda house: Treatment.objects.create(
        animal=house["son B"], remedy="salt", since=ago(1), recorded_by=house["by"]
    ),
    "moved": lambda house: Stay.objects.create(
        animal=house["son B"], tank=house["tank"], since=ago(1)
    ),
    "a tank more": lambda house: Tank.objects.create(name="East", kind="breeding"),
    "quarantine": lambda house: set_of(house["tank"], kind=Tank.Kind.QUARANTINE),
    "put together": lambda house: Pairing.objects.create(
        female=house["daughter A"], male=house["son B"], introduced_on=ago(1)
    ),
    "gave birth": lambda house: Outcome.objects.create(
        female=house["daughter A"], on=ago(1), kind="live_birth"
    ),
    "named otherwise": lambda house: set_of(house["son B"], call_name="Deneb"),
    "died": lambda house: set_of(house["son B"], state="died", state_on=ago(1)),
    "died on no day": lambda house: set_of(house["son B"], state="died", state_on=None),
    "other parents": other_parents,
    "another figure": another_figure,
    "the limit of F": lambda house: Program.objects.update(inbreeding_needs_reason=0.3),
    "days of rest": lambda house: Program.objects.update(rest_days=400),
    "a wish more": lambda house: Wish.objects.create(
        contact=house["wish"].contact, wished_on=ago(1), recorded_by=house["by"]
    ),
    "a pup let go": lambda house: Verdict.objects.create(
        animal=house["pup A"],
        decision=Verdict.Decision.LET_GO,
        on=ago(1),
        recorded_by=house["by"],
    ),
    "planned": lambda house: PlannedPairing.objects.create(
        female=house["daughter A"],
        male=house["son B"],
        not_before=clock.today(),
        recorded_by=house["by"],
    ),
}


@pytest.mark.parametrize("act", ACTS)
def test_what_is_kept_is_what_is_reckoned_anew_after_each_act(as_owner, house, act):
    told(as_owner, house)
    ACTS[act](house)
    kept = told(as_owner, house)
    forget_everything()
    anew = told(as_owner, house)
    assert [name for name in anew if kept[name] != anew[name]] == []


def test_after_a_sighting_only_she_is_asked_about_and_the_plan_stands(as_owner, house, monkeypatch):
    asked, planned = [], []
    of_some, best = readiness._candidates, season_plan._best_plan

    def counted(animals, *rest):
        asked.append([one.name for one in animals])
        return of_some(animals, *rest)

    monkeypatch.setattr(readiness, "_candidates", counted)
    monkeypatch.setattr(
        season_plan, "_best_plan", lambda *a, **k: planned.append(1) or best(*a, **k)
    )
    page = reverse("planning:season")
    as_owner.get(page)
    as_owner.get(page)  # PostgreSQL is asked how far tables have come at the second use
    asked.clear()
    see(house["daughter A"])
    assert as_owner.get(page).context["plan"].rows
    assert asked == [["Daughter A"]]
    assert len(planned) == 1


def test_many_animals_are_listed_when_asked_for(as_owner, house, monkeypatch):
    """What the page leaves out is one tap away, and an address that names some is heeded."""
    monkeypatch.setattr("breeding.planning.views.season.MOST_LISTED", 1)
    monkeypatch.setattr("breeding.planning.season.asking.MOST_LISTED", 1)
    page = reverse("planning:season")
    answer = as_owner.get(page)
    words = answer.content.decode()
    assert 'name="female"' not in words
    assert "2 of 2 grown females" in " ".join(words.split())
    everybody = [{row.female.animal, row.male.animal} for row in answer.context["plan"].rows]
    assert 'href="?all=1"' in words
    whole = as_owner.get(page + "?all=1")
    assert whole.content.decode().count('name="female"') == 2
    assert [{row.female.animal, row.male.animal} for row in whole.context["plan"].rows] == everybody
    usual = {name: value for name, value in whole.context["form"].data.items() if value}
    sent = {name: value for name, value in usual.items() if name not in ("female", "male")}
    opened = as_owner.get(page, sent | {"all": "1"})
    assert len(opened.context["plan"].rows) == len(everybody)
    none = as_owner.get(page, sent | {"all": "listed"})
    assert "Choose at least one female and one male" in none.content.decode()
    one = as_owner.get(page, usual | {"all": "listed", "female": [house["daughter A"].pk]})
    assert {row.female.animal for row in one.context["plan"].rows} == {house["daughter A"]}
    assert f"female={house['daughter A'].pk}" in one.context["asked"]
    assert "&female=" not in as_owner.get(page, usual | {"all": "listed"}).context["asked"]


def test_a_table_of_many_lists_them_when_asked_for(as_owner, house, monkeypatch):
    monkeypatch.setattr("breeding.planning.views.table.MOST_LISTED", 1)
    page = reverse("planning:table")
    words = as_owner.get(page).content.decode()
    assert 'name="female"' not in words
    assert 'href="?all=1"' in words
    assert as_owner.get(page + "?all=1").content.decode().count('name="female"') == 4
    one = as_owner.get(page, {"female": house["daughter A"].pk}).context["table"]
    assert [row.female for row in one.rows] == [house["daughter A"]]


def test_sightings_are_told_apart_from_other_history(house, as_owner):
    """The day on which an animal was gone is read from the history only where it is not said."""
    assert Sighting.objects.exists()
    set_of(house["son A"], state="left", state_on=None)
    page = reverse("planning:state")
    before = OF_ONE_REQUEST.sub("", as_owner.get(page).content.decode())
    see(house["daughter A"])
    assert OF_ONE_REQUEST.sub("", as_owner.get(page).content.decode()) == before
