"""Entry point: choose the data directory before the settings are read, then hand over to Django."""

import os
import sys

from breeding import home


def main() -> None:
    """Run a management command on the directory that `--home` names; `start` prepares it first."""
    arguments = sys.argv[1:]
    if arguments[:1] == ["start"] and not {"-h", "--help"} & set(arguments):
        os.environ["RAYWARD_HOME"] = str(home.prepare(arguments))
        if "--demo" in arguments:
            os.environ.pop("RAYWARD_DATABASE", None)  # the demo never touches real data
    else:
        place, sys.argv[1:] = home.taken_out(arguments)  # no other command knows the option
        if place:
            os.environ["RAYWARD_HOME"] = str(place)
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


if __name__ == "__main__":
    main()
