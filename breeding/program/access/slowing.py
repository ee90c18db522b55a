"""Whoever tries passwords waits longer and longer: by name and address, and by name alone."""

import datetime
import hashlib
import hmac
import ipaddress
from typing import Any

from axes.handlers.database import AxesDatabaseHandler
from axes.models import AccessAttempt
from django.conf import settings
from django.db.models import Max, QuerySet, Sum
from django.db.models.signals import pre_save
from django.dispatch import receiver
from django.http import HttpRequest, HttpResponse

from breeding.program import clock
from breeding.words.language import tell, tell_many

FIRST_WAIT = datetime.timedelta(seconds=30)
# For one name from one address: free tries, then a wait that doubles with each further wrong one.
FREE_HERE, LONGEST_HERE = 5, datetime.timedelta(minutes=15)
# For one name from everywhere: strangers may hold a name up, and never shut its owner out for long.
FREE_EVERYWHERE, LONGEST_EVERYWHERE = 50, datetime.timedelta(minutes=1)


def name_mark(request: HttpRequest, credentials: dict[str, Any] | None) -> str:
    """What stands for a name in the table: people type passwords into the wrong field."""
    name = str((credentials or {}).get("username") or "").casefold()
    return hmac.new(settings.SECRET_KEY.encode(), name.encode(), hashlib.sha256).hexdigest()[:32]


def address_of(request: HttpRequest) -> str | None:
    """Where a request comes from; of an IPv6 address the part that one household has.

    The server puts there what a proxy says only when it trusts the proxy.
    """
    try:
        address = ipaddress.ip_address(request.META.get("REMOTE_ADDR", ""))
    except ValueError:
        return None
    if address.version == 4:
        return str(address)
    return str(ipaddress.ip_network((address, 64), strict=False).network_address)


def somebody(*_: Any) -> str:
    """Who it was, for lines of the log: nobody's business."""
    return "somebody"


def wait_after(failures: int, free: int, longest: datetime.timedelta) -> datetime.timedelta:
    """How long after the last wrong try the next one is looked at.

    >>> [wait_after(n, 5, LONGEST_HERE).seconds for n in (4, 5, 6, 7, 99)]
    [0, 30, 60, 120, 900]
    """
    if failures < free:
        return datetime.timedelta(0)
    doubled: int = 2 ** min(failures - free, 20)
    return min(longest, FIRST_WAIT * doubled)


class SlowingHandler(AxesDatabaseHandler):
    """Counts in the tables of django-axes; the next try waits, and no door is shut for good."""

    def is_allowed(self, request: HttpRequest, credentials: dict[str, Any] | None = None) -> bool:
        request.axes_user_agent = ""  # type: ignore[attr-defined]
        return bool(super().is_allowed(request, credentials))

    def is_locked(self, request: HttpRequest, credentials: dict[str, Any] | None = None) -> bool:
        return self._wait(request, credentials) > datetime.timedelta(0)

    def get_failures(self, request: HttpRequest, credentials: dict[str, Any] | None = None) -> int:
        """Asked after a wrong try: whether it was one too many (AXES_FAILURE_LIMIT is one)."""
        return int(self._wait(request, credentials) > datetime.timedelta(0))

    def _wait(self, request: HttpRequest, credentials: dict[str, Any] | None) -> datetime.timedelta:
        here, everywhere = self.get_user_attempts(request, credentials)
        wait = max(
            _wait_left(here, FREE_HERE, LONGEST_HERE),
            _wait_left(everywhere, FREE_EVERYWHERE, LONGEST_EVERYWHERE),
        )
        request.sign_in_wait = wait  # type: ignore[attr-defined]
        return wait


def _wait_left(
    attempts: "QuerySet[AccessAttempt]", free: int, longest: datetime.timedelta
) -> datetime.timedelta:
    tried = attempts.aggregate(failures=Sum("failures_since_start"), last=Max("attempt_time"))
    if not tried["last"]:
        return datetime.timedelta(0)
    last: datetime.datetime = tried["last"]
    wait = wait_after(tried["failures"], free, longest)
    return max(datetime.timedelta(0), last + wait - clock.arrived_at())


@receiver(pre_save, sender=AccessAttempt)
def _keep_only_counts(instance: AccessAttempt, **_: Any) -> None:
    """What was sent, and with which browser, is kept of nobody."""
    instance.get_data = instance.post_data = instance.http_accept = instance.path_info = ""


def wait_words(request: HttpRequest) -> str:
    """Why this try was not looked at, and when the next one is; empty when it was."""
    wait = getattr(request, "sign_in_wait", None)
    if not wait or not getattr(request, "axes_locked_out", False):
        return ""
    return tell(
        "Too many wrong passwords for this name: wait {wait} before the next try. A link from an "
        "owner signs you in without waiting.",
        wait=how_long(wait),
    )


def how_long(wait: datetime.timedelta) -> str:
    """Seconds while they are few, then minutes.

    >>> how_long(datetime.timedelta(seconds=29)), how_long(datetime.timedelta(minutes=15))
    ('30 seconds', '15 minutes')
    """
    seconds = int(wait.total_seconds()) + 1
    if seconds < 90:
        return tell_many("{number} second", "{number} seconds", seconds)
    return tell_many("{number} minute", "{number} minutes", round(seconds / 60))


def too_many(
    request: HttpRequest, response: HttpResponse, credentials: dict[str, Any] | None = None
) -> HttpResponse:
    """The page as the view wrote it, with the words above on it, as an answer to too many tries."""
    wait = getattr(request, "sign_in_wait", FIRST_WAIT)
    response.status_code = 429
    response.headers["Retry-After"] = str(int(wait.total_seconds()) + 1)
    return response
