"""A few animals, the pages that show them, and writes by chance: for tests of what is kept."""

import datetime
from contextlib import suppress
from itertools import cycle

from django.db import IntegrityError
from django.test import Client
from django.urls import reverse

from breeding.animals.models import Measurement
from breeding.feeding.models import Feeding, Food, Meal
from breeding.housing.models import Look, Stay, Tank
from breeding.pairings.models import Outcome, Pairing, Sighting, SignKind
from breeding.program import clock
from tests import cast
from tests.buyers.litters import litter_of
from tests.cast import ago, pair, see
from tests.lists import plain

DAILY = (Sighting, Measurement, Look, Feeding, Meal, Pairing, Stay)


def few(owner):
    """Three females and two males in two tanks; one bore young that are raised here."""
    tanks = [Tank.objects.create(name=name) for name in ("Pond", "Cove")]
    females = [cast.female(name, pure="motoro", born_on=ago(2500)) for name in ("Mira", "Vega")]
    females.append(cast.female("Lyra", pure="motoro"))
    males = [cast.male(name, pure="motoro", born_on=ago(2500)) for name in ("Deneb", "Rigel")]
    pair(females[0], males[0], 300, 250)
    see(females[0], 260)
    litter = litter_of(females[0], males[0], today=ago(0), widths=(160, 150), sexes="FM")
    pups = [one.animal for one in litter.pups.all()]
    for n, one in enumerate((*females, *males, *pups)):
        Stay.objects.create(animal=one, tank=tanks[n % 2], since=ago(90))
    Outcome.objects.create(female=females[1], on=ago(40), kind="not_pregnant")
    pair(females[1], males[1], 30)
    Food.objects.create(name="Smelt")
    client = Client()
    client.force_login(owner)
    return client


def pages():
    year = ago(0).year
    vega = Pairing.objects.order_by("pk").last().female_id if Pairing.objects.exists() else 0
    return [
        reverse("agenda:day"),
        reverse("pairings:season"),
        reverse("pairings:index"),
        reverse("pairings:company"),
        reverse("pairings:year", args=[year]),
        reverse("planning:season"),
        reverse("litters:index"),
        *([reverse("pairings:female", args=[vega])] if vega else []),
        *pairs(),
    ]


def pairs():
    """Each female with one of the males, so that of everybody it is said whether it can be bred."""
    page, animals = reverse("planning:pair"), cast.Animal.objects.order_by("pk")
    females, males = (animals.filter(sex=sex).values_list("pk", flat=True) for sex in "FM")
    return [f"{page}?female={her}&male={his}" for her, his in zip(females, cycle(males))]


def told(client, every=None):
    """What each page says, by its address."""
    found = {}
    for page in every or pages():
        answer = client.get(page)
        assert answer.status_code == 200
        found[page] = plain(answer.content.decode().split("<main", 1)[1])
    return found


def write(draw):
    """Something is added; or a record is changed, withdrawn, counted again, or removed."""
    act = draw.choice(["add", "add", "change", "withdraw", "again", "remove"])
    if act == "add":
        return added(draw)
    model = draw.choice(DAILY)
    rows = list(model._base_manager.order_by("pk"))
    if not rows:
        return added(draw)
    one = model._base_manager.filter(pk=draw.choice(rows).pk)
    if act == "change":
        with suppress(IntegrityError):  # what a rule of the records stops changes nothing
            one.update(**changed(draw, model))
    elif model is Meal or act == "remove":
        one.delete()
    else:
        with suppress(IntegrityError):
            one.update(withdrawn_at=clock.now() if act == "withdraw" else None)
    return act, model


def somebody(draw, *sexes):
    return draw.choice([one for one in cast.Animal.objects.order_by("pk") if one.sex in sexes])


def some_moment(draw):
    return clock.now() - datetime.timedelta(days=draw.choice([0, 0, 1, 3, 20, 60, 255]))


def changed(draw, model):
    if model is Sighting:
        kind = SignKind.objects.get(key=draw.choice(["copulation", "fresh_bite_marks", "off_food"]))
        return draw.choice(
            [
                {"female": somebody(draw, "F")},
                {"male": draw.choice([None, somebody(draw, "M")])},
                {"seen_at": some_moment(draw)},
                {"kind": kind},
            ]
        )
    if model is Measurement:
        return draw.choice([{"animal": somebody(draw, "F", "M")}, {"disc_width_mm": 400}])
    if model is Look:
        return {
            "tank": draw.choice(list(Tank.objects.order_by("pk"))),
            "on": ago(draw.randrange(90)),
        }
    if model is Feeding:
        return {"fed_at": some_moment(draw)}
    if model is Meal:
        return {"took": draw.choice(["all", "none", "little"])}
    until = draw.choice([None, ago(0), ago(2)])
    if model is Stay:
        tank = draw.choice(list(Tank.objects.order_by("pk")))
        since = ago(draw.choice([3, 35, 50, 80, 280]))
        return draw.choice([{"until": until}, {"tank": tank}, {"since": since}, {"side": "left"}])
    return draw.choice([{"separated_on": until}, {"introduced_on": ago(draw.choice([35, 310]))}])


def added(draw):
    model = draw.choice(DAILY)
    if model is Sighting:
        kind = draw.choice(["copulation", "fresh_bite_marks", "off_food", "eats_again"])
        more = {"severity": 3} if kind == "fresh_bite_marks" else {}
        see(somebody(draw, "F"), draw.choice([0, 1, 2, 30]), kind, **more)
    elif model is Measurement:
        Measurement.objects.create(
            animal=somebody(draw, "F", "M"), on=ago(draw.randrange(60)), disc_width_mm=300
        )
    elif model is Look:
        tank = draw.choice(list(Tank.objects.order_by("pk")))
        Look.objects.get_or_create(tank=tank, on=ago(draw.randrange(60)))
    elif model is Stay:
        moved, on = somebody(draw, "F", "M"), ago(draw.choice([0, 0, 2]))
        Stay.objects.filter(animal=moved, until=None).update(until=on)
        tank = draw.choice(list(Tank.objects.order_by("pk")))
        Stay.objects.create(animal=moved, tank=tank, since=on)
    elif model is Pairing:
        female, male = somebody(draw, "F"), somebody(draw, "M")
        Pairing.objects.create(female=female, male=male, introduced_on=ago(draw.randrange(50)))
    else:
        moment = some_moment(draw)
        one = Feeding.objects.create(food=Food.objects.get(), fed_at=moment)
        for animal in {somebody(draw, "F", "M") for _ in range(3)}:
            took = draw.choice(["all", "none"])
            Meal.objects.create(feeding=one, animal=animal, took=took, fed_at=moment)
    return "add", model
