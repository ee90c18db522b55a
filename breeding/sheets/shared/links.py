"""Addresses that show a sheet or a sales page to whoever has them: made, renewed, closed."""

import datetime
import hashlib
import ipaddress
import secrets
from typing import Any, Protocol
from urllib.parse import urlsplit

from django.core.exceptions import ValidationError
from django.db import transaction
from django.urls import reverse

from breeding.program.models import Person
from breeding.sheets.models import Link, Sharing, SheetLink
from breeding.words.days import long_day
from breeding.words.language import tell

TOKEN_BYTES = 16  # 128 bits
_LOCAL_ENDINGS = (".local", ".lan", ".home", ".internal", ".localdomain", ".home.arpa")


class Owner(Protocol):
    """What has links: a sheet, or a page of offers in a room above."""

    @property
    def links(self) -> Any: ...


def new_link(*, by: Person | None, last_day: datetime.date | None = None) -> SheetLink:
    """A link with a token of its own that is not saved yet and belongs to no sheet."""
    return SheetLink(recorded_by=by, last_day=last_day, **_fresh_token())


def _fresh_token() -> dict[str, str]:
    token = secrets.token_urlsafe(TOKEN_BYTES)
    return {"token": token, "token_hash": hash_of(token)}


def hash_of(token: str) -> str:
    return hashlib.sha256(token.encode(errors="replace")).hexdigest()


def find_shared(token: str, *, today: datetime.date) -> SheetLink | None:
    """The link with this token when it is good; None whatever else is the case.

    One query in every case, so that an answer says nothing by how long it takes.
    """
    found = SheetLink.objects.select_related(
        "sheet", "sheet__corrects", "sheet__correction", "sheet__withdrawal"
    ).filter(token_hash=hash_of(token))
    link = found.first()
    return link if link is not None and link.is_good(today) else None


def link_of(owner: Owner) -> Link | None:
    """The link that has not been closed; it may have run out."""
    link: Link | None = owner.links.filter(closed_at__isnull=True).first()
    return link


@transaction.atomic
def renew_link(
    owner: Owner,
    *,
    by: Person | None,
    now: datetime.datetime,
    last_day: datetime.date | None = None,
) -> Link:
    """A new address; the one before, also the code printed on paper, leads nowhere from now on."""
    close_link(owner, now=now)
    facts = {owner.links.field.name: owner, "recorded_by": by, "last_day": last_day}
    link: Link = owner.links.model(**facts, **_fresh_token())
    link.full_clean()
    link.save()
    return link


@transaction.atomic
def close_link(owner: Owner, *, now: datetime.datetime) -> None:
    """Nobody reaches it without an account any more. Nothing happens without a link."""
    for link in owner.links.select_for_update().filter(closed_at__isnull=True):
        link.closed_at = now
        link.save(update_fields=["closed_at"])


@transaction.atomic
def end_link(owner: Owner, *, last_day: datetime.date | None, today: datetime.date) -> Link:
    """Set the last day on which the link leads anywhere; None: until it is closed."""
    if last_day is not None and last_day < today:
        raise ValidationError(
            {
                "last_day": tell(
                    "{day} is past; close the link to end it today.", day=long_day(last_day)
                )
            }
        )
    link: Link | None = owner.links.select_for_update().filter(closed_at__isnull=True).first()
    if link is None:
        raise ValidationError(tell("The link is closed; make a new one."))
    link.last_day = last_day
    link.save(update_fields=["last_day"])
    return link


# ----------------------------------------------------------------------------------- addresses


def base_of(request_address: str) -> str:
    """Where others reach this program: the public address on record, else the one in use."""
    sharing = Sharing.objects.filter(pk=1).first()
    return (sharing and sharing.public_address) or request_address


def address_of(link: Link, base: str) -> str:
    """The whole address to hand out; empty without a base."""
    return base.rstrip("/") + reverse(link.ROUTE, args=[link.token]) if base else ""


def is_only_local(base: str) -> bool:
    """Whether an address can be reached from this machine or its own network only.

    >>> is_only_local("http://192.168.1.20:8000/"), is_only_local("https://rays.example/")
    (True, False)
    >>> is_only_local("http://tankroom:8000/"), is_only_local("http://[::1]:8000/")
    (True, True)
    """
    name = (urlsplit(base).hostname or "").rstrip(".").lower()
    try:
        return not ipaddress.ip_address(name).is_global
    except ValueError:
        return "." not in name or name.endswith(_LOCAL_ENDINGS)


@transaction.atomic
def set_public_address(address: str) -> Sharing:
    """Under which address links are handed out from now on; empty: the one in use."""
    sharing, _ = Sharing.objects.get_or_create(pk=1)
    sharing.public_address = address.strip()
    sharing.full_clean()
    if sharing.public_address and urlsplit(sharing.public_address).scheme not in ("http", "https"):
        raise ValidationError(
            {
                "public_address": tell(
                    "“{address}” is not a web address; write it like https://example.org.",
                    address=address,
                )
            }
        )
    sharing.save()
    return sharing
