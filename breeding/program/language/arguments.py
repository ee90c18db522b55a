"""What argparse and Django say of a command's arguments, in the language of the shell.

argparse asks the standard library's gettext, which knows no catalog of its words; from the first
command on it asks the catalogs of the rooms, where its words stand like any others.
"""

import argparse
from typing import Final

from django.core.management import CommandParser

from breeding.words.language import message, message_many, tell, tell_many

# Found by argparse itself: as Python 3.11 to 3.13 write them.
OF_ARGPARSE: Final = (
    message("usage: "),
    message("%(prog)s: error: %(message)s\n"),
    message("positional arguments"),
    message("options"),
    message("show this help message and exit"),
    message("argument %(argument_name)s: %(message)s"),
    message("the following arguments are required: %s"),
    message("unrecognized arguments: %s"),
    message("expected one argument"),
    message("expected at most one argument"),
    message("expected at least one argument"),
    message_many("expected %s argument", "expected %s arguments"),
    message("one of the arguments %s is required"),
    message("not allowed with argument %s"),
    message("ignored explicit argument %r"),
    message("ambiguous option: %(option)s could match %(matches)s"),
    message("invalid %(type)s value: %(value)r"),
    message("invalid choice: %(value)r (choose from %(choices)s)"),
)
# What Django gives every command, by the name it keeps each under.
OF_DJANGO: Final = {
    "version": message("show the version of Django and exit"),
    "verbosity": message("how much is said: 0 little, 1 as usual, 2 more, 3 everything"),
    "settings": message("the settings, as the path of a Python module"),
    "pythonpath": message("a directory to add to the Python path"),
    "traceback": message("show where in the program an error arose"),
    "no_color": message("answer without colours"),
    "force_color": message("answer in colours in any case"),
    "skip_checks": message("without the checks before"),
}
# What stands for a value that is to be typed.
STANDING_FOR: Final = {
    "ADDRESS": message("ADDRESS"),
    "ADDRESS:PORT": message("ADDRESS:PORT"),
    "DIR": message("DIR"),
    "FILE": message("FILE"),
    "FILE.pdf": message("FILE.pdf"),
    "FILE.zip": message("FILE.zip"),
    "FINGERPRINT": message("FINGERPRINT"),
    "MOMENT": message("MOMENT"),
    "ROOM": message("ROOM"),
    "YYYY-MM-DD": message("YYYY-MM-DD"),
}


def speak_of(parser: CommandParser) -> None:
    """Say what this parser and Django's own arguments say in the language of the shell."""
    argparse._ = tell  # type: ignore[attr-defined]
    argparse.ngettext = tell_many  # type: ignore[attr-defined]
    parser._optionals.title = tell("options")
    parser._positionals.title = tell("positional arguments")
    for one in parser._actions:
        if one.dest == "help":
            one.help = tell("show this help message and exit")
        elif one.dest in OF_DJANGO:
            one.help = tell(OF_DJANGO[one.dest])
        if isinstance(one.metavar, str):
            one.metavar = tell(STANDING_FOR.get(one.metavar, one.metavar))
