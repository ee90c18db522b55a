"""Entry point: choose the data directory before the settings are read, then hand over to Django."""

import os
import sys

from breeding import home


def main() -> None:
    """Run a management command; `start` first prepares the directory that it will work on."""
    arguments = sys.argv[1:]
    if arguments[:1] == ["start"] and not {"-h", "--help"} & set(arguments):
        os.environ["RAYWARD_HOME"] = str(home.prepare(arguments))
        if "--demo" in arguments:
            os.environ.pop("RAYWARD_DATABASE", None)  # the demo never touches real data
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "breeding.settings")

    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
