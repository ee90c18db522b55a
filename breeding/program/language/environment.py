"""The language of the shell a command is typed in."""

import gettext
import os
from collections.abc import Mapping

from django.utils import translation

from breeding import home
from breeding.program.language import catalogs
from breeding.words.language import Translator, speak_through

NAMES = ("LC_ALL", "LC_MESSAGES", "LANG")  # the first that is set counts
is_a_command = False  # set by whoever runs one; a server of its own speaks to each reader alone


def of_environment(environment: Mapping[str, str]) -> str:
    """The language a shell is set to, where there is a catalog of it.

    >>> of_environment({"LANG": "en_GB.UTF-8"}), of_environment({"LANG": "en", "LC_ALL": "C"})
    ('en', '')
    """
    named = next((environment[name] for name in NAMES if environment.get(name)), "")
    code = named.partition(".")[0].partition("@")[0].replace("_", "-").lower()
    known = dict(catalogs.languages(catalogs.catalogs()))
    return next((one for one in (code, code.partition("-")[0]) if one in known), "")


def speak_before_settings() -> None:
    """What is wrong before there is a program to ask is said in the language of the shell too."""
    code = of_environment(os.environ)
    if code in ("", catalogs.AS_WRITTEN):
        return
    try:
        place = catalogs.together(catalogs.catalogs(), home.chosen())
        said = gettext.translation("django", str(place), [code])
    except OSError:  # no place to put the catalogs: then as it is written
        return
    speak_through(Translator(said.gettext, said.ngettext, said.pgettext))


def speak_as_the_shell() -> None:
    """From now on, in this thread; once apps are there and before a command begins."""
    if is_a_command and (code := of_environment(os.environ)):
        translation.activate(code)
