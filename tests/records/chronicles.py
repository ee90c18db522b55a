"""Chronicles as tests read them: each entry, day and sentence, and the words of the page."""

import datetime

from django.urls import reverse

from tests.lists import plain

CHRONICLE = reverse("records:chronicle")
TODAY = datetime.datetime(2026, 11, 20, 15, 0, tzinfo=datetime.UTC)


def own(animal):
    return reverse("records:animal", args=[animal.pk])


def entries(client, address, **query):
    answer = client.get(address, query)
    assert answer.status_code == 200
    return answer.context["told"].entries


def told(client, address, **query):
    """Day and sentence of each entry, as a reader sees them."""
    found = []
    for one in entries(client, address, **query):
        subject = f"{one.told.subject}: " if one.told.subject and address == CHRONICLE else ""
        found.append(f"{one.on} {subject}{plain(f'{one.told.lead}{one.told.rest}')}")
    return found


def text(client, address, **query):
    return plain(client.get(address, query).content.decode())
