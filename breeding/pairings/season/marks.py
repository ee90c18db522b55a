"""Animals in the key of something that is said of them together."""

from collections.abc import Iterable

from breeding.animals.models import Animal

MOST_LISTED = 6


def marks_of(animals: Iterable[Animal]) -> str:
    """Short for a few; for many the number of them and who came last, which changes with each."""
    keys = sorted(one.pk for one in animals)
    if len(keys) <= MOST_LISTED:
        return "-".join(str(key) for key in keys)
    return f"{len(keys)}-{sum(keys)}-{keys[-1]}"
