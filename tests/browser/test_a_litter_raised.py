"""A litter from its birth to the hand-over, by a thumb on a phone; each act in so many taps.

Mira's pups 1 (female), 2 (male, ill later), 4 (dead), 5 (female, stays) and 6 (male, found later);
number 3 was a slip.
"""

import datetime
import re
from contextlib import contextmanager

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from breeding.animals.models import Animal, Measurement
from breeding.animals.services import add_measurement
from breeding.buyers.models import HandOver
from breeding.buyers.services import add_contact
from breeding.buyers.waiting import add_wish
from breeding.feeding.models import Feeding, Food, Meal
from breeding.feeding.services import feed
from breeding.housing.models import Tank, WaterTest
from breeding.housing.services import move_animal
from breeding.litters.models import Litter, Pup, Verdict
from breeding.pairings.species_file import load_species
from breeding.program import clock, services
from breeding.words.days import plain_day
from tests import cast

pytestmark = pytest.mark.django_db(transaction=True)

MATED_DAYS_AGO = 110
# Widths in cm and grams on a day of age, of pups 1, 2, 5 and 6: as heavy as usual for their width.
WEIGHED = {
    3: (("10.1", "51"), ("10.0", "50"), ("10.4", "56"), ("9.9", "48")),
    10: (("10.7", "61"), ("10.2", "53"), ("11.0", "66"), ("10.5", "57")),
    24: (("11.9", "83"), ("11.0", "66"), ("12.2", "89"), ("11.6", "77")),
    46: (("13.7", "125"), ("13.1", "110"), ("14.2", "139"), ("13.4", "117")),
}
DAY = datetime.timedelta(days=1)


@pytest.fixture
def size():
    """On a phone alone."""
    return "phone"


class Thumb:
    """What is tapped on the page, counted; numbers are typed between two taps."""

    def __init__(self, page, snap):
        self.page, self.snap, self.taps = page, snap, 0

    def tap(self, locator):
        locator.first.click()
        self.taps += 1

    def tile(self, words, place="label.tile"):
        self.tap(self.page.locator(place, has_text=re.compile(rf"^\s*{words}")))

    def link(self, words, within=None):
        found = (within or self.page).get_by_role("link", name=words, exact=True)
        if within is not None and found.first.evaluate("one => Boolean(one.closest('details'))"):
            self.taps += 1  # it folds: one tap opens it
        self.tap(found)

    def press(self, words, said):
        """A button, the page that answers it, and words on that."""
        button = self.page.get_by_role("button", name=words)
        button.first.wait_for()  # a link tapped before may still be loading its page
        self.page.locator("body").evaluate("(body) => { body.dataset.tapped = 1 }")
        self.tap(button)
        self.page.locator("body:not([data-tapped])").wait_for()
        self.page.get_by_text(said).first.wait_for()

    def line(self, words):
        """A line of the day, with what folds open."""
        self.page.goto("/")
        self.page.evaluate(
            "document.querySelectorAll('details').forEach((one) => { one.open = true })"
        )
        return self.page.locator("li.entry", has_text=words)

    def see(self, *words):
        said = " ".join(self.page.locator("main").inner_text().split())
        for one in words:
            assert one in said, f"“{one}” is not on the page: {said}"

    @contextmanager
    def taps_at_most(self, most):
        before = self.taps
        yield
        assert self.taps - before <= most


class Days:
    """Day after day, at half past nine in the morning of a birth that was today."""

    def __init__(self):
        self.born_on, self.traveller = clock.today(), None

    def go(self, age):
        self.stop()
        at = datetime.datetime.combine(self.born_on + age * DAY, datetime.time(9, 30))
        self.traveller = time_machine.travel(timezone.make_aware(at), tick=True)
        self.traveller.start()

    def stop(self):
        if self.traveller:
            self.traveller.stop()


@pytest.fixture
def days():
    found = Days()
    found.go(0)
    yield found
    found.stop()


@pytest.fixture
def thumb(days, page, snap):
    """Jo at the tank of Mira, who is due; somebody waits for a female of hers."""
    load_species()
    jo = cast.owner()
    mira, deneb = cast.female("Mira", pure="motoro"), cast.male("Deneb", pure="motoro")
    bow = Tank.objects.create(name="Bow", kind="nursery", length_mm=3000, width_mm=1500)
    stern = Tank.objects.create(name="Stern", kind="breeding")
    cast.pair(mira, deneb, MATED_DAYS_AGO + 5, MATED_DAYS_AGO - 5)
    cast.see(mira, MATED_DAYS_AGO, "copulation", male=deneb)
    for animal, tank in ((mira, bow), (deneb, stern)):
        move_animal(animal, tank, on=cast.ago(100), by=jo)
    add_measurement(mira, by=jo, on=cast.ago(20), disc_width_mm=450)
    for food in ("Tank worms", "Mussel"):
        Food.objects.create(name=food, recorded_by=jo)
    buyer = add_contact(by=jo, name="Ulla Fern")
    add_wish(buyer, by=jo, wished_on=clock.today(), sex="F")
    token = services.make_sign_in_link(jo, now=timezone.now(), good_for=datetime.timedelta(hours=1))
    page.goto(f"/link/{token}/")
    page.get_by_role("button", name="Sign in as").click()
    page.locator("nav.thumb .logit").wait_for()
    return Thumb(page, snap)


def test_a_litter_is_raised_from_its_birth_to_the_hand_over(thumb, days):
    _born_at_the_tank(thumb)
    _stopped_and_gone_on_with(thumb)
    _first_food(thumb, days)
    _weighed_with_a_slip(thumb)
    _ill_and_treated(thumb, days)
    _water(thumb)
    _nobody_may_leave_yet(thumb, days)
    _raised(thumb, days)
    _decided(thumb)
    _kept_and_given_a_sheet(thumb)
    _handed_over(thumb)
    _what_is_written_in_the_end(days)


def _litter():
    return Litter.objects.get()


def _pup(number):
    return Animal.objects.get(pup_rows__number=number)


def _a_pup(thumb, fate, sex, width="", grams="", yolk=""):
    thumb.tile(fate)
    if sex:
        thumb.tile(sex)
    if width:
        thumb.page.get_by_label("Width in cm").fill(width)
        thumb.page.get_by_label("Weight in grams").fill(grams)
    if yolk:
        thumb.tile(yolk)


def _born_at_the_tank(thumb):
    thumb.link("She has pups", thumb.line("Mira"))
    thumb.page.get_by_role("heading", name="The first pup").wait_for()
    thumb.see("First part the pups from the males", "Sire: Deneb, from her company and the signs.")
    thumb.snap(thumb.page, "raised-01-first-pup")
    with thumb.taps_at_most(4):
        _a_pup(thumb, "alive", "female", "9,8", "47", "a small yolk sac")
        thumb.press("Save, and the next pup", "alive, female. 1 pup so far.")
    with thumb.taps_at_most(3):
        _a_pup(thumb, "alive", "male", "98", "48")
        thumb.press("Save, and the next pup", "98 cm is not possible here")
    thumb.page.get_by_label("Width in cm").fill("9.9")
    thumb.press("Save, and the next pup", "2 pups so far")
    _a_pup(thumb, "dead", "male")
    thumb.press("Save, and the next pup", "3 pups so far")
    with thumb.taps_at_most(1):
        thumb.press("Undo", "Undone: Pup 3")
    _a_pup(thumb, "dead", "female")
    thumb.press("Save, and the next pup", "Pup 4 of litter")
    thumb.see("3 pups so far, 1 of them dead")
    thumb.snap(thumb.page, "raised-02-next-pup")


def _stopped_and_gone_on_with(thumb):
    thumb.link("Stop, and go on later")
    thumb.page.get_by_text("This birth is under way.").wait_for()
    with thumb.taps_at_most(6):  # one of them opens the line
        thumb.link("The next pup, or that was all", thumb.line("go on with the birth"))
        _a_pup(thumb, "alive", "female", "10.1", "51")
        thumb.press("Save, and the next pup", "4 pups so far")
    thumb.press("That was all", "is whole: 4 pups.")
    thumb.snap(thumb.page, "raised-03-after")
    thumb.press("Pups and males are apart", "ticked on")
    thumb.link("To the litter")
    with thumb.taps_at_most(4):
        thumb.link("One more pup was found")
        _a_pup(thumb, "alive", "male")
        thumb.press("Add it", "One more pup is in litter")
    thumb.see("5 pups", "not yet: 42 more days and a measurement")
    fresh = thumb.line("pups on the floor").inner_text()
    assert "Males apart" not in fresh
    assert f"Measure {_pup(6).name}." in fresh
    assert [pup.number for pup in Pup.objects.filter(alive=True)] == [1, 2, 5, 6]


def _first_food(thumb, days):
    days.go(3)
    line = thumb.line("offer first food: look at the yolk")
    assert "A small yolk sac at birth: 1." in line.inner_text()
    with thumb.taps_at_most(5):  # one of them opens the line of the week
        thumb.link("Feed them", line)
        thumb.tile("Tank worms")
        thumb.tap(thumb.page.locator(f"#id_took_{_pup(2).pk} label", has_text="refused"))
        thumb.snap(thumb.page, "raised-04-first-food")
        thumb.press("Save: they are fed", "all ate but")
    name = _pup(2).name
    thumb.see(f"not taken yet, by the records: {name}", "feeding by itself for 14 days")
    assert "not fit to leave" not in thumb.page.locator("main").inner_text()
    line = thumb.line("offer first food").inner_text()
    assert f"No meal of {name} is on record" in line
    assert f"Refused by {name}: offer again." in line


def _fill(thumb, age):
    for number, (width, grams) in zip((1, 2, 5, 6), WEIGHED[age], strict=True):
        thumb.page.locator(f"[name=disc_width_mm_{_pup(number).pk}]").fill(width)
        thumb.page.locator(f"[name=weight_g_{_pup(number).pk}]").fill(grams)


def _weighed_with_a_slip(thumb):
    """14.0 for 10.4: marked while typed, asked by the server, marked again when it came back."""
    thumb.page.goto(_litter().get_absolute_url())
    with thumb.taps_at_most(3):
        thumb.link("Weigh them")
        thumb.page.get_by_role("button", name="Save 0 of 4").wait_for()
        _fill(thumb, 3)
        slip = thumb.page.locator(f"[name=disc_width_mm_{_pup(5).pk}]")
        slip.fill("14.0")
        thumb.see("14.0 cm? It was 10.1 cm", "too much growth")
        thumb.press("Save 4 of 4, 1 to look at again", "3.9 cm of growth in 3 days")
        thumb.page.get_by_role("button", name="Save 4 of 4, 1 to look at again").wait_for()
        thumb.snap(thumb.page, "raised-05-slip")
        slip.fill("10.4")
        thumb.press(re.compile("^Save"), "4 animals measured.")
    assert _pup(5).measurements.get(on=clock.today()).disc_width_mm == 104


def _ill_and_treated(thumb, days):
    days.go(4)
    thumb.page.goto(_pup(2).get_absolute_url())
    with thumb.taps_at_most(3):
        thumb.link("What ails it?")
        thumb.tile("listless")
        thumb.press(re.compile("^Save"), "listless")
    line = thumb.line(f"{_pup(2).name} not well: listless")
    with thumb.taps_at_most(3):  # one of them opens the line
        thumb.link("A treatment", line)
        page = thumb.page
        page.get_by_label("What is given").fill("A bath")
        page.get_by_label("Dose").fill("as prescribed")
        page.get_by_label("Prescribed by").fill("Dr Linnet")
        page.get_by_label("To, the last day").fill(str(clock.today() + 4 * DAY))
        page.get_by_label("Not to be sold, moved or bred until").fill(str(days.born_on + 60 * DAY))
        thumb.snap(page, "raised-06-treatment")
        thumb.press(re.compile("^Save$"), "Written: A bath")
    thumb.see(f"until {plain_day(days.born_on + 60 * DAY)}")


def _water(thumb):
    page = thumb.page
    page.goto(Tank.objects.get(name="Bow").get_absolute_url())
    with thumb.taps_at_most(2):
        thumb.link("Log a water test")
        page.get_by_label("Temperature in").fill("26,8")
        page.get_by_label("pH").fill("6.8")
        page.get_by_label("Total ammonia").fill("0,5")
        page.get_by_label("Nitrite, mg").fill("0")
        thumb.press(re.compile("^Save$"), "Not fit: ammonia 0.5 mg/L")
    assert "Change water, find the cause" in thumb.line("the water is not fit").inner_text()
    page.goto(WaterTest.objects.get().get_absolute_url())
    with thumb.taps_at_most(2):
        thumb.link("Change this one")
        page.get_by_label("Total ammonia").fill("0")
        thumb.press("Save the change", "is changed")
    assert thumb.line("the water is not fit").count() == 0
    page.goto(Tank.objects.get(name="Bow").get_absolute_url())
    with thumb.taps_at_most(2):
        thumb.tap(page.get_by_text("Water changed"))
        thumb.press("20 %", "Water changed in Bow: 20 %")
    thumb.see("Room for these 5", "300.0 cm by 150.0 cm")


def _nobody_may_leave_yet(thumb, days):
    days.go(10)
    thumb.page.goto(reverse("litters:weigh", args=[_litter().pk]))
    _fill(thumb, 10)
    thumb.press(re.compile("^Save"), "4 animals measured.")
    thumb.link("Hold back or let go")
    first = f"{plain_day(days.born_on + 42 * DAY)} (in 32 days)"
    thumb.see("Nobody of it may leave yet.", f"The first is old enough {first}")
    thumb.see("Let the 4 not decided go", "Each stays until it is old, large and well enough")
    thumb.see("Not yet: 32 more days, 2.3 cm more disc width and feeding by itself for 14 days")
    thumb.see("Not fit to leave: 32 more days, 2.8 cm more disc width", "listless since")
    assert not thumb.page.get_by_text("age: not yet").first.is_visible()
    thumb.tap(thumb.page.get_by_text("Each rule"))
    assert thumb.page.get_by_text("age: not yet").first.is_visible()
    thumb.snap(thumb.page, "raised-07-nobody-yet")


def _fed(age):
    """Rounds of which nothing is known beyond that they were eaten, two days apart."""
    for one in range(age, 0, -2):
        feed(
            {_pup(number): Meal.Took.ALL for number in (1, 2, 5, 6)},
            food=Food.objects.get(name="Tank worms"),
            fed_at=clock.now() - one * DAY,
            now=clock.now(),
            by=None,
            sure=cast.SURE,
        )


def _raised(thumb, days):
    for age, since in ((24, 14), (46, 22)):
        days.go(age)
        _fed(since)
        thumb.page.goto(reverse("litters:weigh", args=[_litter().pk]))
        _fill(thumb, age)
        thumb.press(re.compile("^Save"), "4 animals measured.")
    thumb.see("old and large enough, better a little later")
    assert thumb.line("too slowly").count() == 0
    with thumb.taps_at_most(3):  # one of them opens the line
        thumb.link("It is over", thumb.line("not well: listless"))
        thumb.press(re.compile("^It is over|^Save"), "over")


def _decided(thumb):
    line = thumb.line("decide who stays")
    assert f"3 of 4 pups are old and large enough to leave: {_pup(1).name}" in line.inner_text()
    with thumb.taps_at_most(4):  # one of them opens the line
        thumb.link("Hold back or let go", line)
        card = thumb.page.locator("section.pup", has_text=_pup(5).name)
        thumb.link("Hold back", card)
        thumb.page.get_by_label("Why").fill("the largest female")
        thumb.press(re.compile("^Save$"), "held back for breeding.")
    thumb.snap(thumb.page, "raised-08-decided")
    with thumb.taps_at_most(1):
        thumb.press("Let the 3 not decided go", "may go, as soon as each is fit to.")
    thumb.press("Undo", "Undone: 3 pups")
    assert Verdict.objects.filter(decision="go").count() == 0
    thumb.press("Let the 3 not decided go", "may go, as soon as each is fit to.")


def _kept_and_given_a_sheet(thumb):
    thumb.page.goto(_pup(1).get_absolute_url())
    with thumb.taps_at_most(3):
        thumb.link("Reserve for a buyer")
        thumb.snap(thumb.page, "raised-09-kept")
        thumb.link("For Ulla Fern")
        thumb.press("Reserve it", "is reserved for Ulla Fern")
    with thumb.taps_at_most(2):
        thumb.link("Make a parentage sheet")
        thumb.see("Tank worms since", "none on record", "26.8 °C, pH 6.8")
        thumb.press("Issue this sheet", "is issued and kept as it is")
    thumb.snap(thumb.page, "raised-10-sheet")


def _handed_over(thumb):
    held = reverse("buyers:hand_over", args=[_pup(2).pk])
    thumb.page.goto(held)
    thumb.see(f"{_pup(2).name} is not fit to leave: it lacks the end of its hold")
    thumb.page.goto(_pup(1).get_absolute_url())
    with thumb.taps_at_most(2):
        thumb.link("Hand over")
        thumb.press("It left", "went to Ulla Fern")
    thumb.press("Undo", "Undone")
    assert _pup(1).is_here
    thumb.page.goto(_pup(1).get_absolute_url())
    thumb.link("Hand over")
    thumb.press("It left", "went to Ulla Fern")
    thumb.page.goto(_litter().get_absolute_url())
    thumb.see("left", "held back for breeding", "not fit to leave: the end of its hold")
    thumb.snap(thumb.page, "raised-11-litter")


def _what_is_written_in_the_end(days):
    litter = _litter()
    assert (litter.dam.name, litter.born_on, litter.is_under_way) == ("Mira", days.born_on, False)
    assert {one.sire.name for one in Animal.objects.filter(dam=litter.dam)} == {"Deneb"}
    assert [_pup(number).state for number in (1, 2, 5, 6)] == ["left", "here", "here", "here"]
    assert HandOver.objects.filter(withdrawn_at=None).count() == 1
    assert Meal.objects.filter(took="none").count() == 1
    assert Feeding.objects.filter(withdrawn_at=None).count() == 1 + 7 + 11
    widths = Measurement.objects.filter(animal=_pup(1)).order_by("on")
    assert [one.disc_width_mm for one in widths] == [98, 101, 107, 119, 137]
