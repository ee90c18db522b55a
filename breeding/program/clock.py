"""The only place where the clock is asked; views and commands hand the day on as an argument."""

import datetime

from django.utils import timezone


def now() -> datetime.datetime:
    return timezone.now()


def today() -> datetime.date:
    """The day it is in the program's time zone."""
    return timezone.localdate()
