"""`/healthz`: whether it works, for whoever watches over it; asks for no sign-in, tells nothing."""

import logging
import tempfile
import threading
import time
from collections.abc import Callable

from django.conf import settings
from django.db import DatabaseError, connection
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed

from breeding.program.serving import database

log = logging.getLogger(__name__)

ADDRESS = "/healthz"
GOOD_FOR_SECONDS = 5  # however often anybody asks, the disk is written once in so long
PROBE_BYTES = 4096

_one_at_a_time = threading.Lock()
_last: dict[str, tuple[float, tuple[str, ...]]] = {}
_is_of_this_version = threading.Event()  # once it is, it stays so for as long as this runs

Answer = Callable[[HttpRequest], HttpResponse]


def answer_for_watchers(get_response: Answer) -> Answer:
    """Before everything else: it answers when the database, which the rest asks, does not."""

    def middleware(request: HttpRequest) -> HttpResponse:
        return healthz(request) if request.path == ADDRESS else get_response(request)

    return middleware


def healthz(request: HttpRequest) -> HttpResponse:
    """200 when the database answers, is of this version, and the disk takes what is written."""
    if request.method not in ("GET", "HEAD"):
        return HttpResponseNotAllowed(("GET", "HEAD"))
    wrong = what_is_wrong()
    words = "\n".join(wrong) if wrong else "It works."
    response = HttpResponse(f"{words}\n", "text/plain", status=503 if wrong else 200)
    response["Cache-Control"] = "no-store"
    return response


def what_is_wrong() -> tuple[str, ...]:
    """One sentence for each; none when all is well."""
    with _one_at_a_time:
        asked_at, wrong = _last.get("answer", (float("-inf"), ()))
        if time.monotonic() - asked_at < GOOD_FOR_SECONDS:
            return wrong
        found = tuple(words for words in (_database_words(), _disk_words()) if words)
        if found and found != wrong:
            log.error("It does not work as it should: %s", " ".join(found))
        _last["answer"] = (time.monotonic(), found)
        return found


def forget() -> None:
    """Ask anew, however short ago it was asked."""
    _last.clear()
    _is_of_this_version.clear()


def _database_words() -> str:
    try:
        connection.ensure_connection()
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
        if not _is_of_this_version.is_set():
            if database.is_behind():
                return "The database is not of this version."
            _is_of_this_version.set()
    except DatabaseError:
        return "The database does not answer."
    return ""


def _disk_words() -> str:
    try:
        with tempfile.TemporaryFile(dir=settings.HOME) as probe:
            probe.write(b"\0" * PROBE_BYTES)
            probe.flush()
    except OSError:
        return "The disk cannot be written."
    return ""
