"""Files named on a command line; pictures of codes among them are the files that these hold."""

from collections.abc import Iterable
from pathlib import Path

from django.core.management import CommandError

from breeding.exchange.codes.fields import LARGEST_BYTES
from breeding.exchange.codes.packed import content_of, gathered
from breeding.exchange.codes.seen import MOST_PICTURES, is_picture, parts_in
from breeding.words.language import tell
from breeding.words.numbers import joined
from breeding.words.system import why_refused


def files_named(names: Iterable[str], *, returncode: int = 1) -> list[tuple[str, bytes]]:
    """Each file with what it is called; pictures of the codes of one file are one.

    Raises CommandError with this code for what cannot be read.
    """
    found: dict[str, bytes] = {}
    parts = []
    seen: dict[str, list[str]] = {}
    for name in dict.fromkeys(names):
        try:
            with Path(name).open("rb") as file:
                content = file.read(LARGEST_BYTES + 1)
        except OSError as problem:
            raise CommandError(
                tell("{file} cannot be read: {why}.", file=name, why=why_refused(problem)),
                returncode=returncode,
            ) from None
        if not is_picture(content):
            found[name] = content
            continue
        if sum(map(len, seen.values())) >= MOST_PICTURES:
            said = tell("At most {most} pictures are read at once.", most=MOST_PICTURES)
            raise CommandError(said, returncode=returncode)
        try:
            of_it = parts_in([content])
        except ValueError as problem:
            raise CommandError(f"{name}: {problem}", returncode=returncode) from None
        for whole in {part.whole for part in of_it}:
            seen.setdefault(whole, []).append(name)
        parts += of_it
    try:
        for one in gathered(parts):
            found[joined(seen[one.parts[0].whole])] = content_of(one)
    except ValueError as problem:
        raise CommandError(str(problem), returncode=returncode) from None
    return list(found.items())
