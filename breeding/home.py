"""Where the breeder's data live: outside the code, one directory for database, files and key."""

import os
import secrets
import sys
import tempfile
from pathlib import Path

from platformdirs import user_data_dir

KEY_FILE = "secret_key"


def chosen() -> Path:
    """The data directory named by the environment, or the usual place for this person's data."""
    return Path(os.environ.get("RAYWARD_HOME") or user_data_dir("rayward")).expanduser().absolute()


def prepare(arguments: list[str]) -> Path:
    """Make the directory that `start` works on, with its key, and say where it is.

    `--demo` always gets a new directory of its own; `--home DIR` wins over the environment.
    """
    if "--demo" in arguments:
        place = Path(tempfile.mkdtemp(prefix="rayward-demo-"))
    else:
        place = _named(arguments) or chosen()
    try:
        place.mkdir(mode=0o700, parents=True, exist_ok=True)
        _key(place)
    except OSError as problem:
        sys.exit(f"The data directory {place} cannot be used: {problem.strerror or problem}.")
    return place


def secret_key(place: Path) -> str:
    """The directory's own key; a passing one where the directory has not been prepared."""
    key_file = place / KEY_FILE
    return key_file.read_text() if key_file.exists() else secrets.token_urlsafe(50)


def _named(arguments: list[str]) -> Path | None:
    for position, argument in enumerate(arguments):
        if argument == "--home" and position + 1 < len(arguments):
            return Path(arguments[position + 1]).expanduser().absolute()
        if argument.startswith("--home="):
            return Path(argument.removeprefix("--home=")).expanduser().absolute()
    return None


def _key(place: Path) -> None:
    key_file = place / KEY_FILE
    if not key_file.exists():
        key_file.touch(mode=0o600)
        key_file.write_text(secrets.token_urlsafe(50))
