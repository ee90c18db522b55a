"""What the days from a possible mating on have shown, put into one class for each; pure."""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from breeding.gestation.profile import MATING_SEEN, Profile

Days = npt.NDArray[np.float64]


class Seen(Protocol):
    """Something seen on a day: `estimate.Sign`."""

    @property
    def on(self) -> Any: ...
    @property
    def kind(self) -> str: ...
    @property
    def male(self) -> Hashable: ...


@dataclass(frozen=True, eq=False)
class Windows:
    """One window for each day from `first` on: that day and those after it.

    classes: place of the strongest sign seen in it among `kinds`, len(kinds) for nothing.
    looked: share of its days, 0 to 1, on which somebody looked; none after the last day.
    """

    first: int
    kinds: tuple[str, ...]
    classes: npt.NDArray[np.int_]
    looked: Days

    @property
    def is_nothing(self) -> npt.NDArray[np.bool_]:
        return np.equal(self.classes, len(self.kinds))

    def weights(self, profile: Profile) -> Days:
        """How much oftener each window is seen so after a mating on its first day than without.

        Of nothing where nobody looked: 1, it says nothing either way.
        """
        by_class = [after / without for after, without in profile.signs.values()]
        weights = np.array([*by_class, 1.0])[self.classes]
        quiet = (1 - self.looked * (1 - profile.nothing_after)) / (
            1 - self.looked * (1 - profile.nothing_without)
        )
        return np.where(self.is_nothing, quiet, weights)


def windows(
    first: int, last: int, *, seen: Sequence[Seen], looked: Iterable[int], profile: Profile
) -> Windows:
    """The windows of all days from one to another, as ordinals; nothing is known after `last`.

    The strongest kind seen makes the class; a seen mating counts on its own day only. A day on
    which something was seen is a day on which somebody looked.
    """
    kinds, count = tuple(profile.signs), last - first + 1
    places = {kind: place for place, kind in enumerate(kinds)}
    classes = np.full(count, len(kinds))
    for sign in seen:
        part = _part(sign, first, profile)
        classes[part] = np.minimum(classes[part], places[sign.kind])
    days = {*looked, *(sign.on.toordinal() for sign in seen)}
    watched = np.zeros(count + int(profile.window_days))
    watched[[day - first for day in days if first <= day <= last]] = 1
    sums = np.concatenate(([0.0], np.cumsum(watched)))
    ends = np.arange(count) + int(profile.window_days)
    return Windows(first, kinds, classes, (sums[ends] - sums[:count]) / profile.window_days)


def strongest_in(
    found: Windows, seen: Sequence[Seen], profile: Profile
) -> list[npt.NDArray[np.int_]]:
    """For each sign the places of the windows whose class it makes, alone or with its like."""
    places = {kind: place for place, kind in enumerate(found.kinds)}
    rows = []
    for sign in seen:
        part = _part(sign, found.first, profile)
        rows.append(np.flatnonzero(found.classes[part] == places[sign.kind]) + part.start)
    return rows


def _part(sign: Seen, first: int, profile: Profile) -> slice:
    """The windows that a sign lies in, by place."""
    end = sign.on.toordinal() - first + 1
    back = 1 if sign.kind == MATING_SEEN else int(profile.window_days)
    return slice(max(end - back, 0), max(end, 0))
