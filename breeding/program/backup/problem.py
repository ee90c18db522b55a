"""What a backup or a restore refuses, in words for a keeper."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from breeding.words.language import tell
from breeding.words.system import why_refused


class BackupError(Exception):
    """Nothing was written, or nothing was changed; the text says why and what to do."""


@contextmanager
def said_in_words(place: Path, nothing_was: str) -> Iterator[None]:
    """What the system refuses becomes a sentence that names the place."""
    try:
        yield
    except OSError as problem:
        if problem.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
            raise BackupError(
                tell("The disk of {place} is full; {nothing}.", place=place, nothing=nothing_was)
            ) from problem
        at = problem.filename or place
        raise BackupError(
            tell(
                "{place} cannot be used: {why}; {nothing}.",
                place=at,
                why=why_refused(problem),
                nothing=nothing_was,
            )
        ) from problem
