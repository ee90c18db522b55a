"""What is typed survives reload, Back, a dead line and a lost session, and is written once."""

import datetime
import io
import re

import pytest
from django.utils import timezone
from PIL import Image

from breeding.animals.models import Animal
from breeding.pairings.models import Sighting
from breeding.pairings.species_file import load_species
from breeding.program import clock, services
from breeding.program.models import Act
from tests import cast
from tests.browser.conftest import QUIET, WHOLE, installed

pytestmark = pytest.mark.django_db(transaction=True)

LOG = "/pairings/log/"
KEPT = re.compile("What you typed .* is still here")
NOT_SENT = re.compile("Saved on this phone, not sent")


@pytest.fixture
def people():
    load_species()
    jo, sam = cast.owner(), cast.keeper()
    for name in ("Mira", "Adhara"):
        cast.female(name, pure="motoro", born_on=cast.ago(1500))
    cast.male("Deneb", pure="motoro", born_on=cast.ago(1500))
    return {"jo": jo, "sam": sam}


@pytest.fixture
def phone(chromium, live_server):
    """One phone: what it remembers goes with its context. Script errors fail; a dead line may."""
    context = chromium.new_context(
        viewport={"width": 390, "height": 844}, base_url=live_server.url, reduced_motion="reduce"
    )
    context.set_default_timeout(60_000)  # on a busy machine
    troubles = []
    context.on("weberror", lambda error: troubles.append(str(error.error)))
    yield context
    context.close()
    assert troubles == []


@pytest.fixture
def page(people, phone):
    page = phone.new_page()
    sign_in(page, people["jo"])
    return page


def sign_in(page, person):
    token = services.make_sign_in_link(
        person, now=timezone.now(), good_for=datetime.timedelta(hours=1)
    )
    page.goto(f"/link/{token}/")
    page.get_by_role("button", name="Sign in as").click()


def choose(page, female="Mira", sign="Mating"):
    page.locator("label.tile", has_text=female).click()
    page.locator("label.tile", has_text=re.compile(rf"^\s*{sign}\s*$")).click()


def write_note(page, note):
    if not page.locator("#id_note").is_visible():
        page.locator("summary", has_text="A few words, another time").click()
    page.locator("#id_note").fill(note)


def save(page):
    page.locator(".done button").click()


def chosen(page, name):
    return page.evaluate(
        f"""[...document.querySelectorAll("[name={name}]:checked")]
            .map(one => one.closest("label").innerText.trim().split("\\n")[0])"""
    )


def picture(colour="teal"):
    out = io.BytesIO()
    Image.new("RGB", (60, 40), colour).save(out, "JPEG")
    return {"name": "wound.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


def kept_rows(page, kind):
    return page.evaluate("kind => kept.ours(kind).then(rows => rows.length)", kind)


def wait_for_kept(page, kind, count):
    page.wait_for_function(f"kept.ours('{kind}').then(rows => rows.length === {count})", polling=50)


def test_a_reload_gives_back_what_was_typed_and_starting_afresh_forgets_it(page):
    page.goto(LOG)
    choose(page, "Adhara")
    write_note(page, "by the lantern")
    wait_for_kept(page, "draft", 1)
    page.reload()
    page.get_by_text(KEPT).wait_for()
    assert chosen(page, "female") == ["Adhara"]
    assert page.locator("#id_note").input_value() == "by the lantern"
    page.get_by_role("button", name="Start again").click()
    assert chosen(page, "female") == []
    wait_for_kept(page, "draft", 0)
    page.reload()
    page.wait_for_load_state()
    assert page.locator(".kept").count() == 0
    assert Sighting.objects.count() == 0


AFTERNOON, NIGHT = "new Date(2026, 10, 30, 14, 5)", "new Date(2026, 10, 30, 0, 30)"


@pytest.mark.parametrize(
    ("clock", "said", "on_the_page"),
    [("24", ["14:05", "00:30"], r"\d\d:\d\d"), ("12", ["2:05 pm", "12:30 am"], r"\d+:\d\d [ap]m")],
)
def test_what_the_phone_says_of_a_time_goes_by_the_clock_of_who_reads(
    page, people, clock, said, on_the_page
):
    people["jo"].clock = clock
    people["jo"].save()
    page.goto(LOG)
    assert page.evaluate(f"[{AFTERNOON}, {NIGHT}].map(window.clockTime)") == said
    choose(page, "Adhara")
    wait_for_kept(page, "draft", 1)
    page.reload()
    page.get_by_text(re.compile(rf"What you typed {on_the_page} is still here\.")).wait_for()


def test_a_form_as_the_server_gave_it_says_nothing(page):
    page.goto(LOG)
    choose(page)
    save(page)
    page.get_by_text("Chance that she is pregnant").wait_for()
    assert kept_rows(page, "draft") == kept_rows(page, "waiting") == 0
    page.goto(LOG)
    assert page.locator(".kept").count() == 0
    assert chosen(page, "female") == []


def test_a_photograph_comes_back_with_the_draft_and_is_written(page):
    page.goto(LOG)
    choose(page)
    write_note(page, "")
    page.locator("#id_photograph").set_input_files(picture())
    wait_for_kept(page, "draft", 1)
    page.reload()
    page.get_by_text(KEPT).wait_for()
    held = page.evaluate("[...document.querySelector('#id_photograph').files].map(f => f.name)")
    assert held == ["wound.jpg"]
    save(page)
    page.get_by_text("Chance that she is pregnant").wait_for()
    assert Sighting.objects.get().photograph is not None


def test_without_a_line_it_waits_on_the_phone_and_is_sent_once(page, phone):
    page.goto(LOG)
    choose(page)
    phone.set_offline(True)
    save(page)
    page.get_by_text(NOT_SENT).wait_for()
    assert Sighting.objects.count() == 0
    phone.set_offline(False)
    page.get_by_text("Chance that she is pregnant").wait_for()
    assert Sighting.objects.count() == 1
    page.reload()
    assert page.get_by_text("waits to be sent").count() == 0
    assert Sighting.objects.count() == 1


def test_what_waits_outlives_its_page_and_any_other_page_sends_it(page, phone):
    page.goto(LOG)
    choose(page)
    phone.set_offline(True)
    save(page)
    page.get_by_text(NOT_SENT).wait_for()
    page.close()
    phone.set_offline(False)
    other = phone.new_page()
    other.goto("/animals/")
    other.get_by_text(re.compile("Sent: Log a sighting")).wait_for()
    assert Sighting.objects.count() == 1
    assert kept_rows(other, "waiting") == 0


def test_an_answer_lost_after_the_write_leads_to_one_row(page):
    page.goto(LOG)
    choose(page)

    def lose(route):
        route.fetch(max_redirects=0)
        route.abort()

    page.route(f"**{LOG}", lose, times=1)
    save(page)
    page.get_by_text(NOT_SENT).wait_for()
    assert Sighting.objects.count() == 1
    page.get_by_role("button", name="Send now").click()
    page.get_by_text("It was sent before, and is written only once").wait_for()
    assert Sighting.objects.count() == 1


def test_two_quick_taps_write_one_row(page):
    page.goto(LOG)
    choose(page)
    page.locator(".done button").dblclick()
    page.get_by_text("Chance that she is pregnant").wait_for()
    assert Sighting.objects.count() == 1


def test_a_refused_form_comes_with_what_is_wrong_in_focus(page):
    page.goto(LOG)
    choose(page)
    write_note(page, "looked twice")
    page.locator("#id_seen_at").fill("2999-01-01T12:00")
    save(page)
    page.locator(".wrong").wait_for()
    assert page.title().startswith("Error: ")
    assert page.evaluate("document.activeElement.className") == "said error wrong"
    assert chosen(page, "female") == ["Mira"]
    page.locator(".wrong a").click()
    assert page.evaluate("document.activeElement.id") == "id_seen_at"
    page.locator("#id_seen_at").fill("")
    save(page)
    page.get_by_text("Chance that she is pregnant").wait_for()
    assert Sighting.objects.get().note == "looked twice"
    assert kept_rows(page, "draft") == 0


def test_the_tick_of_a_question_comes_back_and_nobody_is_said_to_have_changed_it(page):
    page.goto(f"/health/treat/?animal={Animal.objects.get(call_name='Mira').pk}")
    page.fill("[name=remedy]", "copper sulphate")
    page.locator("main form:has([name=remedy]) button").last.click()
    page.locator("[name=sure]").check()
    page.locator("main form:has([name=remedy]) button").last.click()
    page.get_by_text("Write a reason in a few words.").first.wait_for()
    page.get_by_text(KEPT).wait_for()
    assert page.locator("[name=sure]").is_checked()
    assert page.locator("[name=remedy]").input_value() == "copper sulphate"
    assert page.get_by_text("changed meanwhile").count() == 0


def test_signed_out_in_another_tab_it_is_sent_after_signing_in_again(page, phone, people):
    page.goto(LOG)
    choose(page)
    other = phone.new_page()
    other.goto("/more/")
    other.get_by_role("button", name="Sign out").click()
    other.get_by_role("heading", name="Sign in").wait_for()
    save(page)
    page.get_by_role("link", name="Sign in to send").click()
    page.get_by_label("Name to sign in with").fill("jo")
    page.get_by_label("Password").fill(cast.PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_text(re.compile("Sent: Log a sighting")).wait_for()
    assert page.url.endswith(LOG)
    assert Sighting.objects.get().recorded_by == people["jo"]


def test_a_stale_security_cookie_costs_nothing(page, phone):
    page.goto(LOG)
    choose(page)
    phone.clear_cookies(name="rayward_csrf")
    save(page)
    page.get_by_text("Chance that she is pregnant").wait_for()
    assert Sighting.objects.count() == 1


def test_another_person_on_the_same_phone_sees_and_sends_nothing_of_it(page, phone, people):
    page.goto(LOG)
    choose(page)
    write_note(page, "for my eyes")
    wait_for_kept(page, "draft", 1)
    phone.set_offline(True)
    save(page)
    page.get_by_text(NOT_SENT).wait_for()
    phone.clear_cookies()  # signed out before the line is back: until then it is theirs to send
    page.close()
    phone.set_offline(False)
    other = phone.new_page()
    sign_in(other, people["sam"])
    other.goto(LOG)
    other.wait_for_load_state("networkidle")
    assert other.locator(".kept").count() == 0
    assert "for my eyes" not in other.content()
    assert (kept_rows(other, "draft"), kept_rows(other, "waiting")) == (0, 0)
    assert Sighting.objects.count() == 0
    phone.clear_cookies()
    sign_in(other, people["jo"])
    other.get_by_text(re.compile("Sent: Log a sighting")).wait_for()
    assert Sighting.objects.get().recorded_by == people["jo"]


def test_back_to_a_form_that_was_sent_says_so_and_offers_a_fresh_one(chromium, live_server, people):
    """In a browser that keeps whole pages for Back, as those on phones do."""
    with_whole_pages = chromium.browser_type.launch(
        executable_path=installed(WHOLE),
        args=QUIET,
        ignore_default_args=["--disable-back-forward-cache"],
    )
    page = with_whole_pages.new_page(base_url=live_server.url)
    sign_in(page, people["jo"])
    page.goto(LOG)
    choose(page, "Adhara")
    save(page)
    page.get_by_text("Chance that she is pregnant").wait_for()
    page.evaluate("history.back()")
    page.get_by_text("This was sent:").wait_for()
    assert page.locator(".done button").is_disabled()
    page.get_by_role("button", name="Open a fresh form").click()
    page.wait_for_function("!document.querySelector('.kept')")
    assert chosen(page, "female") == []
    assert page.locator(".done button").is_enabled()
    assert Sighting.objects.count() == 1
    with_whole_pages.close()


def test_back_to_a_form_that_is_asked_for_anew_is_a_fresh_one(page):
    page.goto(LOG)
    choose(page, "Adhara")
    save(page)
    page.get_by_text("Chance that she is pregnant").wait_for()
    page.go_back()
    page.wait_for_load_state("networkidle")
    assert chosen(page, "female") == []
    assert page.locator(".kept").count() == 0


@pytest.fixture
def plain(chromium, live_server, people):
    """A browser without scripts, signed in as Jo."""
    context = chromium.new_context(base_url=live_server.url, java_script_enabled=False)
    page = context.new_page()
    page.set_default_timeout(60_000)  # on a busy machine
    sign_in(page, people["jo"])
    yield page
    context.close()


def test_a_tile_keeps_no_place_of_its_own_for_back_without_a_script(plain):
    """Whoever was logged last stands first: the place of the tile would be another female's."""
    plain.goto(LOG)
    choose(plain, "Adhara")
    save(plain)
    plain.get_by_text("Chance that she is pregnant").wait_for()
    plain.go_back()
    plain.locator("label.tile", has_text="Mira").wait_for()
    assert plain.locator("[name=female]:checked, [name=kind]:checked").count() == 0


def test_without_a_script_what_came_signed_out_is_given_back_and_saved_once(plain, people):
    plain.goto(LOG)
    choose(plain, "Adhara")
    write_note(plain, "by the lantern")
    plain.locator("#id_photograph").set_input_files(picture())
    plain.context.clear_cookies(name="rayward_session")
    save(plain)
    plain.get_by_label("Name to sign in with").fill("jo")
    plain.get_by_label("Password").fill(cast.PASSWORD)
    plain.get_by_role("button", name="Sign in").click()
    plain.get_by_role("heading", name="You typed this; nothing of it was written").wait_for()
    assert Sighting.objects.count() == 0
    plain.get_by_role("button", name="Look it over first").click()
    plain.get_by_text("Nothing of it is written yet").wait_for()
    assert plain.locator("#id_note").input_value() == "by the lantern"
    assert Sighting.objects.count() == 0
    save(plain)
    plain.get_by_text("Chance that she is pregnant").wait_for()
    seen = Sighting.objects.get()
    assert (seen.female.name, seen.note, bool(seen.photograph)) == (
        "Adhara",
        "by the lantern",
        True,
    )
    plain.goto("/kept/")
    plain.get_by_role("heading", name="Nothing is left to write").wait_for()


def test_a_refusal_while_it_waited_is_said_and_the_form_opens_with_it(page, phone):
    page.goto(LOG)
    choose(page)
    write_note(page, "too far ahead")
    page.locator("#id_seen_at").fill("2999-01-01T12:00")
    phone.set_offline(True)
    save(page)
    page.get_by_text(NOT_SENT).wait_for()
    page.close()
    phone.set_offline(False)
    other = phone.new_page()
    other.goto("/animals/")
    other.get_by_text(re.compile("Not written: Log a sighting")).wait_for()
    other.get_by_role("button", name="Open the form with it").click()
    other.get_by_text(KEPT).wait_for()
    assert other.locator("#id_note").input_value() == "too far ahead"
    assert chosen(other, "female") == ["Mira"]
    assert (Sighting.objects.count(), Act.objects.count()) == (0, 0)


def test_several_things_wait_and_go_in_their_order(page, phone):
    page.goto(LOG)
    second = phone.new_page()
    second.goto(LOG)
    phone.set_offline(True)
    for one, female in ((page, "Mira"), (second, "Adhara")):
        choose(one, female)
        save(one)
        one.get_by_text(NOT_SENT).wait_for()
    page.close()
    second.close()
    phone.set_offline(False)
    other = phone.new_page()
    other.goto("/animals/")
    for female in ("Mira", "Adhara"):
        other.get_by_text(re.compile(f"Sent: Log a sighting: {female}, Mating, typed")).wait_for()
    assert [one.female.name for one in Sighting.objects.order_by("pk")] == ["Mira", "Adhara"]
    assert all(one.seen_at <= clock.now() for one in Sighting.objects.all())


def test_while_one_waits_the_next_is_a_fresh_form_away(page, phone):
    page.goto(LOG)
    phone.set_offline(True)
    choose(page)
    save(page)
    page.get_by_text(NOT_SENT).wait_for()
    fresh = page.get_by_role("link", name="Open a fresh form")
    assert fresh.get_attribute("href") == LOG
