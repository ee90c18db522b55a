"""Steps of bringing in a table, as a keeper takes them on the pages."""

from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from breeding.records.models import ImportDraft

INDEX = reverse("records:index")


def upload(client: Client, text: str | bytes, name: str = "rays.csv") -> Any:
    raw = text.encode() if isinstance(text, str) else text
    return client.post(INDEX, {"file": SimpleUploadedFile(name, raw)}, follow=True)


def paste(client: Client, text: str) -> Any:
    return client.post(INDEX, {"pasted": text}, follow=True)


def latest() -> ImportDraft:
    return ImportDraft.objects.latest("pk")


def proposal_of(answer: Any) -> Any:
    return answer.context["proposal"]


def problems_of(answer: Any) -> list[str]:
    """Every problem as the page writes it: where, and the sentence."""
    return [f"{one.where}: {one.message}" for one in proposal_of(answer).problems]


def write(client: Client) -> Any:
    return client.post(reverse("records:write", args=[latest().pk]), follow=True)


def choose(client: Client, **choices: Any) -> Any:
    """Send the form of the columns with some of its fields changed."""
    address = reverse("records:columns", args=[latest().pk])
    form = client.get(address).context["form"]
    fields = {name: form[name].value() for name in form.fields}
    sent = {name: "" if value is None else value for name, value in fields.items()} | choices
    return client.post(address, sent, follow=True)
