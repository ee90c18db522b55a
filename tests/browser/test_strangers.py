"""Pages for whoever has no account hold WCAG 2.2 AA too, on every screen, in light and in dark."""

import datetime

import pytest
from django.test import RequestFactory
from django.urls import reverse
from django.utils import timezone

from breeding.offers import sales
from breeding.pairings.species_file import load_species
from breeding.program import clock, services
from breeding.program.views import trouble
from breeding.sheets.services import issue_sheet
from breeding.sheets.shared import links as sheet_links
from tests import cast
from tests.browser.accessible import WAYS, look
from tests.buyers.litters import litter_of, pup

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def addresses(db) -> dict[str, str]:
    """What a stranger may come to, by what it is."""
    load_species()
    jo = cast.owner()
    dam, sire = cast.female("Vega", pure="motoro"), cast.male("Deneb", pure="motoro")
    litter = litter_of(dam, sire, today=clock.today())
    page = sales.change_sales_page(litter, by=jo, pups=litter.pups.all(), words="Two eat pellets.")
    sold_out = sales.change_sales_page(
        litter_of(cast.female("Mira"), sire, days_old=300, today=clock.today()), by=jo, pups=()
    )
    for one in (page, sold_out):
        sheet_links.renew_link(one, by=jo, now=clock.now())
    sheet = issue_sheet(pup(litter, "Alya"), by=jo, on=clock.today())
    offers = [
        reverse("offers:offer", args=[sheet_links.link_of(one).token]) for one in (page, sold_out)
    ]
    token = services.make_sign_in_link(jo, now=timezone.now(), good_for=datetime.timedelta(hours=1))
    return {
        "signing in": reverse("program:sign_in"),
        "a link to sign in": reverse("program:link", args=[token]),
        "a link that leads nowhere": reverse("program:link", args=["x"]),
        "a sales page": offers[0],
        "a sales page with nobody on it": offers[1],
        "a sales page that is not": reverse("offers:offer", args=["x"]),
        "a sheet and what its check says": reverse(
            "sheets:shared", args=[sheet_links.link_of(sheet).token]
        ),
        "a sheet that is not": reverse("sheets:shared", args=["x"]),
        "no page": "/nowhere/",
        "without a network": reverse("program:no_network"),
        "the stop of a mail": reverse("agenda:stop", args=["x"]),
    }


def test_pages_of_strangers_hold_on_every_screen(chromium, live_server, addresses):
    context = chromium.new_context(base_url=live_server.url, reduced_motion="reduce")
    page = context.new_page()
    page.set_default_timeout(60_000)  # on a busy machine
    wrong = []
    for name, address in addresses.items():
        page.goto(address, wait_until="load")
        assert page.locator("h1").count() == 1, name
        wrong += [f"{name} at {way}: {said}" for way in WAYS for said in look(page, way)]
    page.goto("about:blank")
    page.set_content(trouble.server_error(RequestFactory().get("/")).content.decode())
    wrong += [f"when it broke, at {way}: {said}" for way in WAYS for said in look(page, way)]
    context.close()
    assert not wrong, "\n".join(wrong)
