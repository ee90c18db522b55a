"""Forms that arrived and were not written: signed out, too old, kept for who typed them."""

import datetime
import secrets
from collections.abc import Iterator

from django.core.files.base import File
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest

from breeding.program.acts.once import FIELD, first_of, key_in, person_in
from breeding.program.models import KeptForm, Person

KEPT_FOR = datetime.timedelta(days=7)
MOST_FORMS = 20  # a person; the oldest goes
MOST_CHARACTERS, MOST_BYTES_OF_FILES = 1_000_000, 30_000_000
LONGEST_ADDRESS = 2000
NEVER_KEPT = {FIELD, "csrfmiddlewaretoken", "look_over"}
FOLDER = "kept"


def keep(request: HttpRequest, *, now: datetime.datetime) -> KeptForm | None:
    """Keep what this request carries for the person its token was given to.

    None for a form without a token of this server, so that strangers cannot fill the disk; for one
    that was written before; and for more than a form can hold. Passwords are not kept.
    """
    token = request.POST.get(FIELD, "")
    person = Person.objects.filter(pk=person_in(token) or 0, is_active=True).first()
    fields = list(_typed(request))
    address = request.get_full_path()
    characters = sum(len(name) + len(value) for name, value in fields)
    if person is None or first_of(request) or len(address) > LONGEST_ADDRESS:
        return None
    if characters > MOST_CHARACTERS:
        return None
    with transaction.atomic():
        _make_room(person, now=now)
        earlier = KeptForm.objects.filter(key=key_in(token)).first()
        files = _keep_files(request) or (earlier.files if earlier else [])
        return KeptForm.objects.update_or_create(
            key=key_in(token),
            defaults={
                **{"person": person, "address": address, "fields": fields},
                **{"files": files, "kept_at": now},
            },
        )[0]


def kept_for(person: Person, *, now: datetime.datetime) -> QuerySet[KeptForm]:
    """What is kept for this person, the latest first."""
    return KeptForm.objects.filter(person=person, kept_at__gt=now - KEPT_FOR)


def kept_of(request: HttpRequest) -> KeptForm | None:
    """What is kept of the form in this request, for the one who typed it."""
    key = key_in(request.POST.get(FIELD, ""))
    if not key:
        return None
    return KeptForm.objects.filter(key=key, person=request.user.pk).first()


def attach_files(request: HttpRequest, kept: KeptForm) -> None:
    """The photographs that were sent with it belong to the request, but for those sent anew."""
    for field, name, kind, path in kept.files:
        if not request.FILES.get(field) and default_storage.exists(path):
            content = default_storage.open(path)
            request.FILES.appendlist(field, _uploaded(content, name, kind))


def put_away(kept: KeptForm) -> None:
    """It is written, or nobody wants it: the row and its files go."""
    for _, _, _, path in kept.files:
        default_storage.delete(path)
    kept.delete()


def put_away_old(now: datetime.datetime) -> None:
    """Who has not asked for it within a week does not want it."""
    for kept in KeptForm.objects.filter(kept_at__lte=now - KEPT_FOR):
        put_away(kept)


def _typed(request: HttpRequest) -> Iterator[tuple[str, str]]:
    for name, values in request.POST.lists():
        if name not in NEVER_KEPT and "password" not in name.lower():
            for value in values:
                yield name, value.replace("\0", "")  # no database of ours holds it in JSON


def _make_room(person: Person, *, now: datetime.datetime) -> None:
    put_away_old(now)
    for kept in KeptForm.objects.filter(person=person)[MOST_FORMS - 1 :]:
        put_away(kept)


def _keep_files(request: HttpRequest) -> list[tuple[str, str, str, str]]:
    """Field, name, kind and place of each file; none when they are too big together."""
    found = [(field, one) for field, files in request.FILES.lists() for one in files]
    if sum(one.size or 0 for _, one in found) > MOST_BYTES_OF_FILES:
        return []
    kept = []
    for field, one in found:
        one.seek(0)
        path = default_storage.save(f"{FOLDER}/{secrets.token_hex(16)}", one)
        kept.append((field, str(one.name), one.content_type or "", path))
    return kept


def _uploaded(content: "File[bytes]", name: str, kind: str) -> "UploadedFile[bytes]":
    return UploadedFile(file=content, name=name, content_type=kind, size=content.size)
