"""The times that are offered beside a typed one: now, an hour ago, and as a keeper says them."""

import datetime

from django.utils import timezone

from breeding.words.language import tell

MORNING, EVENING = datetime.time(8), datetime.time(20)
HOUR = datetime.timedelta(hours=1)
Moments = dict[str, tuple[str, datetime.datetime]]


def offered_moments(now: datetime.datetime) -> Moments:
    """By its key what is said and meant: now, the last morning and the last evening."""
    local = timezone.localtime(now)
    found = {"now": (tell("now"), now)}
    for key, at, today, before in (
        ("morning", MORNING, tell("this morning"), tell("yesterday morning")),
        ("evening", EVENING, tell("this evening"), tell("last evening")),
    ):
        of_today = local.replace(hour=at.hour, minute=0, second=0, microsecond=0)
        if of_today < local:
            found[key] = (today, of_today)
        else:
            found[key] = (before, of_today - datetime.timedelta(days=1))
    return found


def with_an_hour_ago(now: datetime.datetime) -> Moments:
    """The same, and an hour ago after now."""
    found = offered_moments(now)
    return {"now": found.pop("now"), "hour": (tell("an hour ago"), now - HOUR), **found}
