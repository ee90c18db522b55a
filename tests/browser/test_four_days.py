"""Four people's days on a phone, in English and in German: the same taps, the same outcomes.

The helper who feeds, the owner, a buyer with two links, and a keeper in the third year. Every page
on the way is as wide as the phone, and on a German one stands no word of ENGLISH.
"""

import datetime
import re
from collections.abc import Iterator

import pytest
from django.urls import reverse
from django.utils import timezone, translation

from breeding.animals.models import Animal
from breeding.animals.services import add_measurement
from breeding.buyers.models import HandOver, Reservation
from breeding.buyers.services import add_contact
from breeding.feeding.models import Food, Meal
from breeding.housing.models import Tank, WaterTest
from breeding.housing.services import move_animal
from breeding.litters.services import PupFacts, record_birth
from breeding.offers.models import SalesLink
from breeding.pairings.models import Sighting, SignKind
from breeding.pairings.species_file import load_species
from breeding.planning.models import PlannedPairing
from breeding.program import clock, services
from breeding.program.models import Person
from breeding.sheets.models import SheetLink
from breeding.words.language import tell
from tests import cast
from tests.buyers.litters import litter_of

pytestmark = pytest.mark.django_db(transaction=True)

LOCALES = {"en": "en-GB", "de": "de-DE"}
FOODS = {"en": "Tank worms", "de": "Muscheln"}
# Words that English pages are full of, and German ones have none of.
ENGLISH = set(
    re.findall(
        "[a-z]+",
        """the and of is are with for from to by this that these has have been its his she he they
        them who what when where which how only than then there day days week month year age born
        male female pup pups litter tank tanks water fed weight width save undo change next more
        since until because each other any record records recorded written known unknown if or at
        it be new find sheet sales buyer keeper animal animals seen log today yesterday tomorrow""",
    )
)
# Addresses, and the book that the five conditions are from, by its title.
NO_WORDS = re.compile(r"\S*[/@]\S*|Clinical Guide to Fish Medicine")
# Letters alone: "96be" of a key's fingerprint, drawn anew in every run, is no word.
WORD = re.compile(r"\b[^\W\d_]+\b")


@pytest.fixture
def size():
    return "phone"


@pytest.fixture(params=LOCALES)
def language(request):
    return request.param


@pytest.fixture
def locale(language):
    return LOCALES[language]


class Day:
    """Somebody's day: what is tapped, and each page on the way looked over."""

    def __init__(self, page, snap, language: str) -> None:
        self.page, self.snap, self.language, self.pages = page, snap, language, 0

    def said(self, sentence: str, **values: object) -> str:
        """A sentence of the program as this person reads it."""
        with translation.override(self.language):
            return tell(sentence, **values)

    def look(self) -> None:
        """The page that is open, on the screen."""
        page, self.pages = self.page, self.pages + 1
        page.wait_for_load_state()
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= 390, f"{page.url} is {wide} px wide"
        assert page.locator("html").get_attribute("lang") == self.language
        if self.language != "en":
            read = page.locator("body").inner_text()
            words = set(WORD.findall(NO_WORDS.sub(" ", read).lower()))
            assert not words & ENGLISH, f"{page.url} says {words & ENGLISH}: {read}"

    def open(self, address: str) -> None:
        self.page.goto(address)
        self.look()

    def follow(self, selector: str) -> None:
        """A link, perhaps in what is folded, and the page behind it."""
        found = self.page.locator(selector)
        found.first.wait_for(state="attached")
        if not found.locator("visible=true").count():
            found.first.locator("xpath=ancestor::details[1]/summary").click()
        self._leave(found.locator("visible=true").first)

    def press(self, selector: str = "main form button.first") -> None:
        self._leave(self.page.locator(selector).locator("visible=true").last)

    def _leave(self, tapped) -> None:
        tapped.wait_for()
        self.page.locator("body").evaluate("(body) => { body.dataset.left = 1 }")
        tapped.click()
        self.page.locator("body:not([data-left])").wait_for()
        self.look()

    def choose(self, name: str, value: object) -> None:
        """A tile or a row: the words that go with the field."""
        self.page.locator(f"label:has(input[name='{name}'][value='{value}'])").first.click()

    def fill(self, name: str, value: str) -> None:
        self.page.locator(f"[name='{name}']").first.fill(value)

    def reads(self, *words: str) -> None:
        found = " ".join(self.page.locator("main").inner_text().split())
        for one in words:
            assert one in found, f"“{one}” is not on {self.page.url}: {found}"


@pytest.fixture
def day(page, snap, language) -> Day:
    return Day(page, snap, language)


@pytest.fixture
def house(db, language) -> Iterator[None]:
    """Mira due, after two litters in earlier years; two who are free; Vega's young, fit to go."""
    load_species()
    jo, sam = cast.owner(), cast.keeper()
    Person.objects.update(language=language)
    pure = {"pure": "motoro", "born_on": cast.ago(3000)}
    mira, deneb = cast.female("Mira", **pure), cast.male("Deneb", **pure)
    vega, altair = cast.female("Vega", **pure), cast.male("Altair", **pure)
    bow, galley = (Tank.objects.create(name=name, kind="breeding") for name in ("Bow", "Galley"))
    Tank.objects.create(name="Keel", kind="breeding")  # free, so that the plan has room for young
    for animal, tank in ((mira, bow), (vega, galley)):
        move_animal(animal, tank, on=cast.ago(900), by=sam)
        add_measurement(animal, by=sam, on=cast.ago(20), disc_width_mm=450)
    for since in (830, 470):  # each time born after 112 days
        cast.pair(mira, deneb, since + 5, since - 5)
        cast.see(mira, since, male=deneb)
        record_birth(
            dam=mira,
            born_on=cast.ago(since - 112),
            pups=[PupFacts(alive=False, sex="F")] * 2,
            today=clock.today(),
            by=sam,
        )
    cast.pair(mira, deneb, 110, 100)
    cast.see(mira, 105, male=deneb)
    litter_of(vega, altair, today=clock.today())
    Food.objects.create(name=FOODS[language], recorded_by=sam)
    add_contact(by=jo, name="Ulla Fern", language=language)


def _sign_in(day: Day, username: str) -> None:
    token = services.make_sign_in_link(
        Person.objects.get(username=username),
        now=timezone.now(),
        good_for=datetime.timedelta(hours=1),
    )
    day.page.context.clear_cookies()
    day.open(f"/link/{token}/")
    day.press("main button")
    assert day.page.locator("nav.thumb .logit").is_visible()


def _animal(name: str) -> Animal:
    return Animal.objects.get(call_name=name)


def test_four_people_have_their_day(day, house, page):
    """One walk, so that the house is made once a language."""
    _the_helper_who_feeds(day)
    _the_owner(day)
    _the_buyer(day)
    _the_keeper_in_the_third_year(day)
    assert day.pages > 35


def _the_helper_who_feeds(day: Day) -> None:
    """A round with one that refuses, water by a decimal comma, marks seen, a slip undone."""
    _sign_in(day, "sam")
    day.snap(day.page, f"four-helper-day-{day.language}")
    galley, chara = Tank.objects.get(name="Galley"), _animal("Chara")
    day.follow("nav.thumb a[href='/more/']")
    day.follow("main a[href='/feeding/']")
    day.follow(f"main a[href='{reverse('feeding:tank', args=[galley.pk])}']")
    day.choose("food", Food.objects.get().pk)
    day.choose(f"took_{chara.pk}", Meal.Took.NONE)
    day.press()
    day.reads(FOODS[day.language], "Chara")
    taken = dict(Meal.objects.filter(feeding__tank=galley).values_list("animal__call_name", "took"))
    assert taken == {"Vega": "all", "Alya": "all", "Botein": "all", "Chara": "none"}
    day.open(galley.get_absolute_url())
    day.follow(f"main a[href='{reverse('housing:water_test', args=[galley.pk])}']")
    for name, typed in (("temperature_c", "26,8"), ("ph", "6.8"), ("ammonia_mg_l", "0")):
        day.fill(name, typed)
    day.press()
    assert float(WaterTest.objects.get().temperature_c) == 26.8
    day.follow("nav.thumb a[href='/']")
    day.follow("nav.thumb .logit")
    day.choose("female", _animal("Mira").pk)
    day.choose("kind", SignKind.objects.get(key="fresh_bite_marks").pk)
    day.choose("severity", 2)
    day.press("button.big")
    marks = Sighting.objects.filter(kind__key="fresh_bite_marks", withdrawn_at=None)
    assert marks.count() == 1
    day.snap(day.page, f"four-helper-logged-{day.language}")
    day.press(".receipt form:has(input[name='once']) button")
    assert not marks.exists()


def _the_owner(day: Day) -> None:
    """A pair of the plan, a pup reserved, its sheet and the sales page; then it goes."""
    _sign_in(day, "jo")
    alya, ulla = _animal("Alya"), reverse("buyers:index")
    day.follow("nav.thumb a[href='/more/']")
    day.follow("main a[href='/planning/']")
    day.follow("main a[href^='/planning/season/']")
    day.snap(day.page, f"four-owner-plan-{day.language}")
    vega, deneb = _animal("Vega"), _animal("Deneb")  # of Altair there are living young already
    day.choose("pair", f"{vega.pk}-{deneb.pk}")
    day.press("table.plan ~ p button.first")
    planned = PlannedPairing.objects.get()
    assert (planned.female.name, planned.male.name) == ("Vega", "Deneb")
    day.follow("nav.thumb a[href='/litters/']")
    day.follow(f"main a[href='{alya.pup_rows.get().litter.get_absolute_url()}']")
    day.follow("main a[href^='/offers/sales/']")
    for one in alya.pup_rows.get().litter.pups.all():
        day.page.locator(f"input[name='pups'][value='{one.pk}']").check()
    day.press("button[name='save']")
    day.press("button[name='renew']")
    day.open(alya.get_absolute_url())
    day.follow(f"main a[href='{reverse('buyers:reserve', args=[alya.pk])}']")
    day.page.locator("[name='contact']").select_option(label="Ulla Fern")
    day.press()
    assert Reservation.objects.get().animal == alya
    day.open(alya.get_absolute_url())
    day.follow(f"main a[href='{reverse('sheets:new', args=[alya.pk])}']")
    day.press("button[name='issue']")
    day.snap(day.page, f"four-owner-sheet-{day.language}")
    day.open(alya.get_absolute_url())
    day.follow(f"main a[href='{reverse('buyers:hand_over', args=[alya.pk])}']")
    read = day.page.locator("[name='has_read_cautions']")
    if read.count():
        read.check()
    day.press()
    assert HandOver.objects.get().animal.state == "left"
    day.open(ulla)
    day.reads("Ulla Fern")


def _the_buyer(day: Day) -> None:
    """No account: the pups still free, the sheet and its file; a slip in the link is said so."""
    day.page.context.clear_cookies()
    day.open(reverse("offers:offer", args=[SalesLink.objects.get().token]))
    day.snap(day.page, f"four-buyer-offer-{day.language}")
    day.reads("Botein", "Chara")
    assert "Alya" not in day.page.locator("main").inner_text()
    shared = reverse("sheets:shared", args=[SheetLink.objects.get().token])
    day.open(shared)
    day.snap(day.page, f"four-buyer-sheet-{day.language}")
    day.reads("Alya", day.said("As issued: unaltered."))
    file = day.page.request.get(f"{shared}pdf/")
    assert file.body()[:5] == b"%PDF-"


def _the_keeper_in_the_third_year(day: Day) -> None:
    """Found with a slip, her two earlier births have taught; an old record is put right."""
    _sign_in(day, "sam")
    mira = _animal("Mira")
    day.follow("header a[href='/find/']")
    day.fill("q", "Mria")
    day.page.locator("#results").get_by_text("Mira").first.wait_for()
    day.follow(f"#results a[href='{mira.get_absolute_url()}']")
    day.snap(day.page, f"four-keeper-animal-{day.language}")
    day.follow(f"main a[href='{reverse('pairings:female', args=[mira.pk])}']")
    day.open(reverse("records:animal", args=[mira.pk]))
    old = Sighting.objects.earliest("seen_at")
    day.open(reverse("program:change", args=["sighting", old.pk]))
    day.page.locator("[name='note']").fill("zwei")
    day.press()
    old.refresh_from_db()
    assert old.note == "zwei"
    day.open(mira.get_absolute_url())
    day.follow(f"main a[href='{reverse('animals:measure', args=[mira.pk])}']")
    day.fill("disc_width_mm", "45,3" if day.language == "de" else "45.3")
    day.press()
    assert mira.measurements.latest("pk").disc_width_mm == 453
    for address in ("planning:year", "planning:state", "records:chronicle", "housing:house"):
        day.open(reverse(address))
