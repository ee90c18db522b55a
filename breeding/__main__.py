"""Entry point: choose the data directory before the settings are read, then hand over to Django."""

import os
import sys
from pathlib import Path

from breeding import home, home_lock, home_swap


def main() -> None:
    """Run a management command on the directory that `--home` names; `start` prepares it first."""
    arguments = sys.argv[1:]
    if arguments[:1] == ["start"] and not {"-h", "--help"} & set(arguments):
        if "--demo" not in arguments:
            _finish_a_restore(home.taken_out(arguments)[0] or home.chosen())
        os.environ["RAYWARD_HOME"] = str(home.prepare(arguments))
        if "--demo" in arguments:
            os.environ.pop("RAYWARD_DATABASE", None)  # the demo never touches real data
    else:
        place, sys.argv[1:] = home.taken_out(arguments)  # no other command knows the option
        if place:
            os.environ["RAYWARD_HOME"] = str(place)
        _finish_a_restore(home.chosen())
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "breeding.settings")

    from django.core.management import execute_from_command_line
    from django.db import OperationalError, ProgrammingError

    try:
        execute_from_command_line(sys.argv)
    except (OperationalError, ProgrammingError) as problem:
        if "--traceback" in arguments:
            raise
        sys.exit(
            f"The database cannot be used: {str(problem).strip()}. "
            f"The data directory is {home.chosen()}; RAYWARD_HOME names another, and "
            "`manage.py start` makes what is missing. With --traceback you see where it failed."
        )


def _finish_a_restore(place: Path) -> None:
    """One that a crash interrupted is brought to its end before anything reads the directory."""
    try:
        words = home_swap.finish_interrupted(place)
    except home_lock.HomeTakenError as taken:
        sys.exit(str(taken))
    except OSError as problem:
        sys.exit(f"A restore into {place} was interrupted, and cannot be finished: {problem}.")
    if words:
        print(words, file=sys.stderr)


if __name__ == "__main__":
    main()
