"""Archives of earlier formats, brought up to the present one before their rows are read.

A column or a file that was added needs nothing here: where an archive has none, its rows take what
the model takes by itself. What was renamed, left out or has another meaning since raises
`layout.FORMAT_VERSION`, and a step below, under the version it starts from, says how it was.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

Row = dict[str, str]


@dataclass(frozen=True)
class Step:
    """From one format to the next: by the file's name of then, its new name and its rows anew."""

    names: Mapping[str, str] = field(default_factory=dict)
    rows: Mapping[str, Callable[[Row], Row]] = field(default_factory=dict)


STEPS: Mapping[int, Step] = {}


def present_name(name: str, *, since: int, now: int) -> str:
    """What a file of an archive with format `since` is called in the present one."""
    for version in range(since, now):
        name = STEPS[version].names.get(name, name)
    return name


def brought_up(name: str, rows: Iterable[Row], *, since: int, now: int) -> Iterator[Row]:
    """The rows of a file, each as it would stand in an archive of the present format."""
    changes = []
    for version in range(since, now):
        step = STEPS[version]
        if name in step.rows:
            changes.append(step.rows[name])
        name = step.names.get(name, name)
    for row in rows:
        for change in changes:
            row = change(row)
        yield row
