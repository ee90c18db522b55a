"""Passwords are reckoned one at a time: strangers cannot take every thread of the server."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.contrib.auth.hashers import PBKDF2PasswordHasher
from django.core.exceptions import ValidationError

from breeding.words.language import tell

AT_ONCE, WAITING, WAIT_SECONDS = 1, 2, 4.0
TRY_AGAIN_SECONDS = 5
BUSY = "busy"


class BusyError(ValidationError):
    """Too many passwords are being looked at just now; nothing is wrong with this one."""

    def __init__(self) -> None:
        super().__init__(
            tell(
                "Many people are signing in just now. Nothing was written; try again in a few "
                "seconds."
            ),
            code=BUSY,
        )


class Gate:
    """Lets so many in at once; so many wait a while, and whoever comes then is sent away."""

    def __init__(self, at_once: int, waiting: int, seconds: float) -> None:
        self._inside = threading.BoundedSemaphore(at_once)
        self._places = threading.BoundedSemaphore(at_once + waiting)
        self._seconds = seconds

    @contextmanager
    def passed(self) -> Iterator[None]:
        """Inside, one of the few. Raises BusyError."""
        if not self._places.acquire(blocking=False):
            raise BusyError
        try:
            if not self._inside.acquire(timeout=self._seconds):
                raise BusyError
            try:
                yield
            finally:
                self._inside.release()
        finally:
            self._places.release()


GATE = Gate(AT_ONCE, WAITING, WAIT_SECONDS)


class GatedHasher(PBKDF2PasswordHasher):
    """Django's own, with Django's own number of rounds, a few at a time.

    A round of it takes about half a second of one core; waitress has six threads. With one inside
    and two waiting, at least three threads go on answering pages.
    """

    def encode(self, *args: Any, **more: Any) -> str:
        with GATE.passed():
            return str(super().encode(*args, **more))
