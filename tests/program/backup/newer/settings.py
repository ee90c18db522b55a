"""The settings of a later version: one room more."""

from breeding.settings import *  # noqa: F403

INSTALLED_APPS = [*INSTALLED_APPS, "tests.program.backup.newer"]  # noqa: F405
