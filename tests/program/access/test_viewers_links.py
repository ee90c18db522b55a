"""Who only reads is led nowhere that answers "You may not do this"."""

import re

import pytest
from django.urls import Resolver404, resolve

from breeding.program.models import Person
from tests.everything import everything
from tests.program.access.test_roles import FOR_KEEPERS, FOR_OWNERS, FOR_VIEWERS_TO_READ
from tests.routes import ROUTES, address

pytestmark = pytest.mark.django_db
LINK = re.compile(r'<a\b[^>]*\bhref="(/[^"#?]*)')


def _route_of(path):
    try:
        return resolve(path).view_name
    except Resolver404:
        return ""


def test_what_a_viewer_reads_links_to_what_a_viewer_may_open(client):
    everything()
    client.force_login(Person.objects.get(username="kit"))
    refused = {*FOR_KEEPERS, *FOR_OWNERS}
    led, pages = set(), 0
    for route, parts in ROUTES:
        if route not in FOR_VIEWERS_TO_READ:
            continue
        answer = client.get(address(route, parts))
        is_page = answer.status_code == 200 and answer["Content-Type"].startswith("text/html")
        pages += is_page
        for path in LINK.findall(answer.content.decode()) if is_page else ():
            if (to := _route_of(path)) in refused:
                led.add(f"{route} leads to {to}")
        if answer.streaming:
            list(answer.streaming_content)  # a file, which is closed at its end
    assert pages > 60
    assert led == set()
