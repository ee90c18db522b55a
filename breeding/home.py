"""Where the breeder's data live: outside the code, one directory for database, files and keys."""

import os
import secrets
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_data_dir

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

KEY_FILE = "secret_key"
SHEET_KEY_FILE = "sheet_key.pem"  # what parentage sheets are signed with


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
        place = taken_out(arguments)[0] or chosen()
    try:
        place.mkdir(mode=0o700, parents=True, exist_ok=True)
        _key(place)
        sheet_key(place, make=True)
    except OSError as problem:
        sys.exit(f"The data directory {place} cannot be used: {problem.strerror or problem}.")
    except ValueError as problem:
        sys.exit(str(problem))
    return place


def taken_out(arguments: list[str]) -> tuple[Path | None, list[str]]:
    """The directory that `--home DIR` names, and the arguments without it; the last one counts."""
    place, others = None, []
    rest = iter(arguments)
    for argument in rest:
        if argument == "--":
            others += [argument, *rest]
        elif argument == "--home" or argument.startswith("--home="):
            named = next(rest, "") if argument == "--home" else argument.removeprefix("--home=")
            if not named or named.startswith("-"):
                sys.exit("--home names no directory; write it like --home DIR.")
            place = Path(named).expanduser().absolute()
        else:
            others.append(argument)
    return place, others


def secret_key(place: Path) -> str:
    """The directory's own key; a passing one where the directory has not been prepared."""
    key_file = place / KEY_FILE
    return key_file.read_text() if key_file.exists() else secrets.token_urlsafe(50)


def sheet_key(place: Path, *, make: bool = False) -> "Ed25519PrivateKey | None":
    """The key that signs this program's sheets; None where there is none and none is to be made.

    A file of its own outside the database, for the owner of the directory alone: whoever can read
    it can sign in the program's name. Lost, it cannot be made again: sheets signed with it stay
    good, and new ones get another key. Raises ValueError when the file is no such key.
    """
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    key_file = place / SHEET_KEY_FILE
    if make and not key_file.exists():
        content = Ed25519PrivateKey.generate().private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
        _write_once(key_file, content)
    if not key_file.exists():
        return None
    try:
        key = serialization.load_pem_private_key(key_file.read_bytes(), password=None)
    except (ValueError, TypeError):
        key = None
    if not isinstance(key, Ed25519PrivateKey):
        raise ValueError(f"{key_file} holds no key for signing sheets; put it back from a backup.")
    return key


def _write_once(file: Path, content: bytes) -> None:
    """Whole and private from the first moment; when two write at once, the first one stays."""
    handle, passing = tempfile.mkstemp(dir=file.parent, prefix=f".{file.name}-")  # mode 0600
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        try:
            os.link(passing, file)
        except FileExistsError:
            pass
        except OSError:  # a file system without links
            os.replace(passing, file)
    finally:
        Path(passing).unlink(missing_ok=True)


def _key(place: Path) -> None:
    key_file = place / KEY_FILE
    if not key_file.exists():
        key_file.touch(mode=0o600)
        key_file.write_text(secrets.token_urlsafe(50))
