"""A real Chromium, on a phone-sized and a desk-sized window, against the running server."""

import datetime
import os
import shutil
from functools import cache, partial

import pytest
from django.test import override_settings

REQUIRED = "browser" in os.environ.get("RAYWARD_REQUIRE", "").split()
WHOLE = ("chromium", "chromium-browser")
# The first that is there: the same Chromium without windows of its own opens a page in a fifth of
# the time, and keeps no whole pages for Back.
PROGRAMS = ("chromium-headless-shell", *WHOLE)
SIZES = {"phone": (390, 844), "desk": (1280, 900)}
# Nothing but this server is asked: the browser's own errands are switched off.
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def installed(programs=PROGRAMS):
    """Where Chromium is; where it is missing the tests are skipped aloud, or fail when required."""
    if found := next(filter(None, map(shutil.which, programs)), None):
        return found
    told = "Chromium is not installed (Debian: apt-get install chromium)."
    if REQUIRED:
        pytest.fail(told)
    pytest.skip(told)


def pytest_collection_modifyitems(items):
    for item in items:
        if "tests/browser" in str(item.path).replace(os.sep, "/"):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def chromium():
    """The browser of all tests of a process."""
    program = installed()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=QUIET)
        # Pages fetched ahead meet a write in a database in memory, which does not wait as a file
        # does; what the service worker does is tried against a file in test_offline.py.
        browser.new_context = partial(browser.new_context, service_workers="block")
        yield browser
        browser.close()


@pytest.fixture(params=SIZES)
def size(request):
    return request.param


@pytest.fixture
def locale():
    """What the browser asks for."""
    return "en-GB"


@pytest.fixture
def page(chromium, live_server, size, locale):
    """A page at the server; it fails on any script error or any request to another host."""
    width, height = SIZES[size]
    context = chromium.new_context(
        viewport={"width": width, "height": height}, base_url=live_server.url, locale=locale
    )
    page = context.new_page()
    page.set_default_timeout(60_000)  # on a busy machine
    troubles = []
    page.on("pageerror", lambda error: troubles.append(f"script error: {error}"))
    page.on("console", lambda said: said.type == "error" and troubles.append(said.text))
    page.on(
        "request",
        lambda asked: (
            asked.url.startswith((live_server.url, "data:", "blob:"))
            or troubles.append(f"asked another host: {asked.url}")
        ),
    )
    yield page
    context.close()
    assert not troubles, troubles


@pytest.fixture(scope="session")
def demo_of(tmp_path_factory):
    """The demo as it stands on a day, written once: what gives it back, and its files."""
    from breeding.demo.program import load_demo
    from tests.as_it_was import laid_aside

    def written(day: datetime.date):
        files = tmp_path_factory.mktemp("demo")
        with override_settings(MEDIA_ROOT=files):
            assert load_demo(day)
        return laid_aside(), files

    return cache(written)


@pytest.fixture
def demo(transactional_db, demo_of, settings) -> None:
    """The demo as it stands today."""
    from breeding.program import clock

    give_back, files = demo_of(clock.today())
    give_back()
    shutil.copytree(files, settings.MEDIA_ROOT)


@pytest.fixture
def jo(demo, page):
    """The page with the demo loaded and its keeper signed in."""
    from django.utils import timezone

    from breeding.program import services
    from breeding.program.models import Person

    token = services.make_sign_in_link(
        Person.objects.get(username="jo"),
        now=timezone.now(),
        good_for=datetime.timedelta(hours=1),
    )
    page.goto(f"/link/{token}/")
    page.get_by_role("button", name="Sign in as").click()
    page.get_by_text("Seen lately").wait_for()
    return page


@pytest.fixture
def snap(size):
    """Keeps a picture of the page where RAYWARD_SHOTS says, to be looked at; else takes none."""
    folder = os.environ.get("RAYWARD_SHOTS")

    def take(page, name):
        if not folder:
            return
        os.makedirs(folder, exist_ok=True)
        page.screenshot(path=os.path.join(folder, f"{name}-{size}.png"), full_page=True)

    return take
