"""Entry point: choose the data directory before the settings are read, then hand over to Django."""

import os
import sys
from pathlib import Path

from breeding import __version__, home, home_lock, home_swap, private, proxy
from breeding.program.language import environment
from breeding.stack import in_one_piece
from breeding.words.language import tell

# Their files are the code's, not the keeper's.
OF_DEVELOPERS = ("makemigrations", "squashmigrations", "startapp")


@in_one_piece
def main() -> None:
    """Run a management command on the directory that `--home` names; `start` prepares it first."""
    arguments = sys.argv[1:]
    if arguments[:1] in (["--version"], ["version"]):
        print(_version_words())
        return
    environment.speak_before_settings()
    if not set(arguments[:1]) & set(OF_DEVELOPERS):
        private.from_now_on()
    if arguments[:1] == ["start"] and not {"-h", "--help"} & set(arguments):
        if "--demo" not in arguments:
            _finish_a_restore(home.taken_out(arguments)[0] or home.chosen())
        os.environ["RAYWARD_HOME"] = str(home.prepare(arguments))
        if "--demo" in arguments:
            os.environ.pop("RAYWARD_DATABASE", None)  # the demo never touches real data
        proxy.choose(arguments)
    else:
        place, sys.argv[1:] = home.taken_out(arguments)  # no other command knows the option
        if place:
            os.environ["RAYWARD_HOME"] = str(place)
        _finish_a_restore(home.chosen())
        if arguments[:1] == ["restore"]:
            os.environ[home.NO_KEY] = "1"
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "breeding.settings")
    _check_the_key()

    from django.core.management import execute_from_command_line
    from django.db import DatabaseError

    environment.is_a_command = True

    try:
        execute_from_command_line(sys.argv)
    except DatabaseError as problem:
        if "--traceback" in arguments:
            raise
        sys.exit(
            tell(
                "The database cannot be used: {why}. The data directory is {place}; RAYWARD_HOME "
                "names another, and `manage.py start` makes what is missing. With --traceback you "
                "see where it failed.",
                why=str(problem).strip(),
                place=home.chosen(),
            )
        )


def _finish_a_restore(place: Path) -> None:
    """One that a crash interrupted is brought to its end before anything reads the directory."""
    try:
        words = home_swap.finish_interrupted(place)
    except home_lock.HomeTakenError as taken:
        sys.exit(str(taken))
    except OSError as problem:
        sys.exit(
            tell(
                "A restore into {place} was interrupted, and cannot be finished: {why}.",
                place=place,
                why=problem,
            )
        )
    if words:
        print(words, file=sys.stderr)


def _version_words() -> str:
    import platform

    import django

    return (
        f"Rayward {__version__} "
        f"(Django {django.get_version()}, Python {platform.python_version()}, "
        f"code in {Path(__file__).parent})"
    )


def _check_the_key() -> None:
    try:
        home.secret_key(home.chosen())
    except ValueError as problem:
        sys.exit(str(problem))


if __name__ == "__main__":
    main()
