"""Every act that can start company: what is asked before, said in the receipt, kept on the day."""

import re
from dataclasses import dataclass
from html import unescape

import pytest
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.animals.mending.withdrawing import withdraw_animal
from breeding.animals.services import add_measurement, change_state
from breeding.buyers.hand_overs import hand_over
from breeding.buyers.models import Contact
from breeding.housing.models import Stay, Tank
from breeding.housing.services import close_divider, move_animal
from breeding.housing.stays.corrections import withdraw_stay
from breeding.litters.births.whole import withdraw_birth
from breeding.litters.services import PupFacts, record_birth
from breeding.planning.models import PlannedPairing
from breeding.program import clock
from breeding.program.acts.mending import address_of
from breeding.program.models import Act
from breeding.words.days import long_day
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db
KIN = "Altair and his dam Mira could breed: their young would have F 25 %."
PUPS = "an adult can bite or crush them."
KIN_ON_THE_DAY, PUPS_ON_THE_DAY = "company_kin", "company_pups"


class Scene:
    """Mira in the pool; Altair, her son by her own sire Deneb's line, in the bay; Jo at a page."""

    def __init__(self, client):
        self.client = client
        self.pool = Tank.objects.create(name="Pool", can_divide=True)
        self.bay = Tank.objects.create(name="Bay", can_divide=True)
        self.mira = cast.female("Mira", born_on=ago(3000))
        self.altair = cast.male("Altair", dam=self.mira, born_on=ago(1500))

    def place(self, animal, tank, days, **more):
        more = {"sure": cast.SURE, "reason": "known"} | more
        return move_animal(animal, tank, on=ago(days), by=None, **more)

    def usual(self):
        self.place(self.mira, self.pool, 60)
        self.place(self.altair, self.bay, 60)
        return self

    def post(self, route, *args, **sent):
        return Sent(self.client, reverse(route, args=args), sent)


@dataclass
class Sent:
    """A form as it is sent, and sent again with the box ticked and a reason where asked."""

    client: object
    address: str
    sent: dict

    def answered(self):
        page = self.client.post(self.address, self.sent, follow=True)
        html = page.content.decode()
        self.asked = unescape(words(page))
        mark = re.search(r'name="sure" value="([^"]+)"', html)
        self.is_asked = mark is not None
        self.needs_reason = 'name="sure_reason"' in html
        if mark is None:
            return self.asked
        again = self.sent | {"sure": mark[1], "sure_reason": "for one night"}
        return unescape(words(self.client.post(self.address, again, follow=True)))


# ------------------------------------------------------------------------------------- the acts


def a_move(scene):
    scene.usual()
    return scene.post("housing:move", scene.altair.pk, tank=scene.pool.pk, on=clock.today())


def a_move_of_old_days(scene):
    """He came a week ago, she two days ago: they meet on the day she came."""
    scene.place(scene.mira, scene.pool, 2)
    sent = {"tank": scene.pool.pk, "on": ago(7)}
    return scene.post("housing:move", scene.altair.pk, **sent)


def a_move_of_all(scene):
    scene.usual()
    return scene.post("housing:move_all", scene.bay.pk, tank=scene.pool.pk, on=clock.today())


def an_opened_divider(scene):
    scene.place(scene.mira, scene.pool, 60)
    close_divider(scene.pool, left=[scene.mira], right=[], on=ago(50), by=None)
    scene.place(scene.altair, scene.pool, 40, side="right")
    return scene.post("housing:open_divider", scene.pool.pk, on=clock.today())


def a_return_to_a_stay_left_open(scene):
    scene.usual()
    scene.place(scene.altair, scene.pool, 50)
    type(scene.altair).objects.filter(pk=scene.altair.pk).update(state="left", state_on=ago(40))
    return scene.post("animals:state", scene.altair.pk, state="here", on=clock.today())


def a_return_from_a_buyer(scene):
    scene.usual()
    gone = went(scene)
    sent = {"on": clock.today(), "because": "allergic", "tank": scene.pool.pk}
    return scene.post("buyers:come_back", gone.pk, **sent)


def a_hand_over_that_never_was(scene):
    """He was alone in the pool, and she came there since."""
    scene.place(scene.altair, scene.pool, 60)
    gone = went(scene)
    scene.place(scene.mira, scene.pool, 5)
    return Sent(scene.client, address_of(gone), {"reason": "slip"})


def went(scene):
    ida = Contact.objects.create(name="Ida")
    facts = {"transport": "own_car", "has_read_cautions": True, "program": cast.the_program()}
    on = {"on": ago(10), "today": clock.today()}
    return hand_over(scene.altair, ida, by=None, **on, **facts)


def an_earlier_stay(scene):
    scene.usual()
    sent = {"place": scene.pool.pk, "since": ago(30), "until": ago(20)}
    return scene.post("housing:earlier", scene.altair.pk, **sent)


def a_corrected_stay(scene):
    scene.usual()
    stay = Stay.objects.get(animal=scene.altair)
    sent = {"place": scene.pool.pk, "since": ago(60), "reason": "it was the pool"}
    return scene.post("housing:correct", stay.pk, **sent)


def a_corrected_stay_after_which_the_one_before_lasts_longer(scene):
    """He was in the pool until 5 days ago, not until 20 days ago; she came there between."""
    scene.place(scene.altair, scene.pool, 60)
    stay = scene.place(scene.altair, scene.bay, 20)
    scene.place(scene.mira, scene.pool, 10)
    sent = {"place": scene.bay.pk, "since": ago(5), "neighbours_follow": "on", "reason": "slip"}
    return scene.post("housing:correct", stay.pk, **sent)


def a_corrected_stay_after_which_the_next_begins_earlier(scene):
    """He came to the pool 20 days ago, not 5 days ago; she was there until 10 days ago."""
    scene.place(scene.mira, scene.pool, 60)
    stay = scene.place(scene.altair, scene.bay, 50)
    scene.place(scene.mira, None, 10)
    scene.place(scene.altair, scene.pool, 5)
    sent = {"place": scene.bay.pk, "since": ago(50), "until": ago(20), "neighbours_follow": "on"}
    return scene.post("housing:correct", stay.pk, **sent, reason="slip")


def a_stay_brought_back(scene):
    scene.place(scene.mira, scene.pool, 60)
    stay = scene.place(scene.altair, scene.pool, 50)
    withdraw_stay(stay, reason="slip", by=None, now=clock.now())
    return scene.post("program:bring_back", "stay", stay.pk)


def a_stay_that_goes_on_instead(scene):
    scene.place(scene.altair, scene.pool, 60)
    stay = scene.place(scene.altair, scene.bay, 20)
    scene.place(scene.mira, scene.pool, 5)
    return Sent(scene.client, address_of(stay), {"reason": "slip", "back_to_previous": "on"})


def an_animal_brought_back(scene):
    scene.usual()
    scene.place(scene.altair, scene.pool, 30)
    withdraw_animal(scene.altair, by=None, now=clock.now(), reason="slip")
    return scene.post("program:bring_back", "animal", scene.altair.pk)


def an_undone_move(scene):
    scene.place(scene.mira, scene.pool, 60)
    scene.place(scene.altair, scene.pool, 50)
    address = reverse("housing:move", args=[scene.altair.pk])
    scene.client.post(address, {"tank": scene.bay.pk, "on": f"{clock.today()}"})
    return scene.post("program:undo", Act.objects.get().pk)


def a_birth(scene):
    scene.usual()
    scene.place(cast.male("Rigel", born_on=ago(1500)), scene.pool, 60)
    sent = {"dam": scene.mira.pk, "born_on": clock.today(), "alive_count": 2}
    formset = {"pups-TOTAL_FORMS": 0, "pups-INITIAL_FORMS": 0}
    return scene.post("litters:new", **sent, **formset)


def a_born_litter(scene):
    facts = {"born_on": ago(3), "pups": [PupFacts()], "today": clock.today(), "by": None}
    return record_birth(dam=scene.mira, **facts)


def a_further_pup(scene):
    scene.usual()
    scene.place(cast.male("Rigel", born_on=ago(1500)), scene.pool, 60)
    return scene.post("litters:add_pup", a_born_litter(scene).pk, fate="alive")


def a_birth_brought_back(scene):
    scene.usual()
    scene.place(cast.male("Rigel", born_on=ago(1500)), scene.pool, 60)
    litter = a_born_litter(scene)
    withdraw_birth(litter, by=None, now=clock.now(), reason="slip")
    return scene.post("program:bring_back", "litter", litter.pk)


# ---------------------------------------------------------------------------------- the table


@dataclass(frozen=True)
class Door:
    """asked: "reason", "tick" or "" where nothing is asked; kept: the kind of line of the day."""

    act: object
    asked: str
    said: str
    kept: str


DOORS = [
    Door(a_move, "reason", KIN, KIN_ON_THE_DAY),
    Door(a_move_of_old_days, "reason", KIN, KIN_ON_THE_DAY),
    Door(a_move_of_all, "reason", KIN, KIN_ON_THE_DAY),
    Door(an_opened_divider, "reason", KIN, KIN_ON_THE_DAY),
    Door(a_return_to_a_stay_left_open, "reason", "", KIN_ON_THE_DAY),
    Door(a_return_from_a_buyer, "reason", KIN, KIN_ON_THE_DAY),
    Door(a_hand_over_that_never_was, "reason", KIN, KIN_ON_THE_DAY),
    Door(an_earlier_stay, "reason", KIN, ""),  # it is over
    Door(a_corrected_stay, "reason", KIN, KIN_ON_THE_DAY),
    Door(a_corrected_stay_after_which_the_one_before_lasts_longer, "reason", KIN, ""),
    Door(a_corrected_stay_after_which_the_next_begins_earlier, "reason", KIN, ""),
    Door(a_stay_brought_back, "reason", KIN, KIN_ON_THE_DAY),
    Door(a_stay_that_goes_on_instead, "reason", KIN, KIN_ON_THE_DAY),
    Door(an_animal_brought_back, "reason", KIN, KIN_ON_THE_DAY),
    Door(an_undone_move, "", KIN, KIN_ON_THE_DAY),
    Door(a_birth, "", PUPS, PUPS_ON_THE_DAY),
    Door(a_further_pup, "", PUPS, PUPS_ON_THE_DAY),
    Door(a_birth_brought_back, "", PUPS, PUPS_ON_THE_DAY),
]


@pytest.mark.parametrize("door", DOORS, ids=lambda door: door.act.__name__)
def test_what_an_act_asks_says_and_leaves_on_the_day(as_owner, door):
    sent = door.act(Scene(as_owner))
    receipt = sent.answered()
    assert {"reason": (True, True), "tick": (True, False), "": (False, False)}[door.asked] == (
        sent.is_asked,
        sent.needs_reason,
    )
    if door.asked:
        assert KIN in sent.asked
    assert door.said in receipt
    kept = {line.kind.key for line in the_day(cast.the_program(), today=clock.today()).lines}
    assert not door.kept or door.kept in kept
    assert door.kept or not {KIN_ON_THE_DAY, PUPS_ON_THE_DAY} & kept


def test_the_reason_given_stands_beside_the_line_of_the_day(as_owner):
    a_return_from_a_buyer(Scene(as_owner)).answered()
    (line,) = (
        one
        for one in the_day(cast.the_program(), today=clock.today()).lines
        if one.kind.key == KIN_ON_THE_DAY
    )
    assert "The reason on record: for one night" in line.why


def test_a_loan_starts_no_company_and_its_return_neither(as_owner):
    scene = Scene(as_owner).usual()
    scene.place(scene.altair, scene.pool, 30)
    change_state(scene.altair, state="on_loan", on=ago(20))
    sent = scene.post("animals:state", scene.altair.pk, state="here", on=clock.today())
    sent.answered()
    assert not sent.is_asked
    assert not Stay.objects.filter(animal=scene.altair, until=None).exists()


def test_moving_all_offers_to_end_the_pairings_that_it_parts(as_owner):
    scene = Scene(as_owner)
    rigel, vega, deneb = cast.male("Rigel"), cast.female("Vega"), cast.male("Deneb")
    for one in (rigel, vega, deneb):
        scene.place(one, scene.bay, 30)
    scene.place(scene.mira, scene.bay, 30)
    left, along = cast.pair(scene.mira, rigel, 20), cast.pair(vega, deneb, 20)
    scene.place(rigel, scene.pool, 1)
    address = reverse("housing:move_all", args=[scene.bay.pk])
    page = words(as_owner.get(address))
    assert "End the pairing of Mira and Rigel on that day" in page
    assert "Vega and Deneb on that day" not in page
    third = Tank.objects.create(name="Third")
    sent = {"tank": third.pk, "on": f"{clock.today()}", f"end_{left.pk}": "on"}
    said = words(as_owner.post(address, sent, follow=True))
    assert "Mira and Rigel have been apart since" in said
    for one in (left, along):
        one.refresh_from_db()
    assert (left.separated_on, along.separated_on) == (clock.today(), None)


def test_a_nursery_with_an_adult_or_unfit_water_is_asked_about_before_it_is_chosen(as_owner):
    scene = Scene(as_owner)
    scene.place(cast.male("Rigel", born_on=ago(1500)), scene.bay, 30)
    sent = scene.post("pairings:nursery", scene.mira.pk, tank=scene.bay.pk)
    said = sent.answered()
    assert sent.is_asked
    assert "Rigel is in Bay; an adult can bite or crush newborn pups." in sent.asked
    assert "Bay is the nursery for Mira's pups. Rigel is in Bay" in said
    scene.place(cast.female("Spica", born_on=ago(1500)), scene.bay, 30)
    both = scene.post("pairings:nursery", scene.mira.pk, tank=scene.bay.pk)
    both.answered()
    assert "Rigel and Spica are in Bay; an adult can bite or crush newborn pups." in both.asked
    free = scene.post("pairings:nursery", scene.mira.pk, tank=scene.pool.pk)
    assert "Pool is the nursery for Mira's pups." in free.answered()
    assert not free.is_asked


def test_a_plan_with_one_that_is_fit_in_spring_is_planned_for_that_day(as_owner):
    young, deneb = cast.female("Vega", born_on=ago(600)), cast.male("Deneb", born_on=ago(1500))
    sent = Sent(as_owner, reverse("planning:accept"), {"pair": f"{young.pk}-{deneb.pk}"})
    assert "Planned: Vega and Deneb." in sent.answered()
    assert not sent.needs_reason
    planned = PlannedPairing.objects.get()
    assert (planned.not_before, planned.reason) == (ago(-130), "")


def test_a_plan_with_one_that_is_not_fit_is_asked_for_a_reason_which_is_kept(as_owner):
    thin, deneb = cast.female("Vega", born_on=ago(1500)), cast.male("Deneb", born_on=ago(1500))
    add_measurement(thin, by=None, on=ago(1), condition=1)
    fit = cast.female("Mira", born_on=ago(1500))
    pairs = {"pair": [f"{thin.pk}-{deneb.pk}", f"{fit.pk}-{deneb.pk}"]}
    sent = Sent(as_owner, reverse("planning:accept"), pairs)
    said = sent.answered()
    assert sent.needs_reason
    assert f"Not fit to breed: Vega is thin (condition 1 of 5 on {long_day(ago(1))})" in sent.asked
    assert "Planned: Vega and Deneb; Mira and Deneb." in said
    assert {one.female.name: one.reason for one in PlannedPairing.objects.all()} == {
        "Vega": "for one night",
        "Mira": "",
    }


def test_opening_a_pairing_with_one_that_is_not_fit_is_asked_for_a_reason_too(as_owner):
    young, deneb = cast.female("Vega", born_on=ago(600)), cast.male("Deneb", born_on=ago(1500))
    sent = {
        "female": young.pk,
        "male": deneb.pk,
        "introduced_on": clock.today(),
        "looked_at": f"{young.pk}-{deneb.pk}",
        "save": "1",
    }
    opening = Sent(as_owner, reverse("pairings:new"), sent)
    opening.answered()
    assert opening.needs_reason
    assert "Not fit to breed: Vega is too young" in opening.asked
    assert young.pairings_as_female.get().reason == "for one night"
