"""When everyone enters a table of kinship and leaves it, and how early each F can be asked for."""

import heapq
import itertools
from typing import NamedTuple

import numpy as np

from pedigree.kinship.front import NEVER, Small, Standing, rows_of
from pedigree.layout import Levels
from pedigree.rows import UNKNOWN, Floats, Ints

ROUNDS = 12  # in which the time of an animal moves between its parents' and its young's
WINDOW = 256  # animals that enter together, about; more windows cost calls, fewer cost places
FINEST = 4  # windows a generation
BACK = 3  # generations through which a question may be handed to the ancestors, as measured
SMALLEST, LARGEST = 8, 32  # places in a group; by default a fourth of those who enter together
LATE = np.int32(2**30)  # the window of those who never enter: a question goes past them
NO_PLACE = -1


class Window(NamedTuple):
    """Those who enter together; none is another's ancestor."""

    nodes: Ints  # (n,)
    groups: Ints  # (n / size of a group, rounded up): where they lie, `Schedule.place`
    live: Ints  # groups of the others who are there


class Schedule:
    """Who is in the table from which window until which, in which place, and when F is asked for.

    Animals enter in windows that follow their time of birth as it can be told from the pedigree:
    time is put halfway between parents and young, then counted in windows, each animal after its
    parents. What matters is how long a row stays. It is needed until its last young has entered;
    a question (F of an animal is the kinship of its parents) must not hold it any longer. So each
    is asked as soon as one of the two is about to leave, and if the other is not there yet, its
    parents or their parents, at most `BACK` generations, answer in its place: the younger-first
    recursion on top of the table. Who is needed by nobody's row and early question never enters.

    `window` (nodes + 1,) when a node enters; LATE when never. `stays` (m,) the last window at
    whose beginning it is there, of those who enter, `come` (m,). `asked` (nodes,) the window
    before which the kinship of a node's parents is asked for; NEVER where one is unknown, and
    anywhere unless one `asks`: then F must be known, and what is kept is all that is wanted.
    `place` (nodes + 1,) where a node lies; `passing` the most parents of a window who never enter
    themselves; `cells` numbers are reckoned, `megabytes` taken.
    Cost: linear, with a small sort.
    """

    def __init__(
        self,
        levels: Levels,
        keep: Ints,
        group: int | None = None,
        *,
        asks: bool = True,
        who: Standing | None = None,
    ) -> None:
        """`who` is the standing of these, where that is known already."""
        who = who or Standing(levels, keep)
        level = who.level
        self.come = who.come
        stands = rows_of(levels, who.stands, who.steps, who.come)
        links = _Links(who.come, stands, len(levels.first))
        entered = links.windows(level[who.come])
        last_row = links.greatest_of_young(entered, NEVER)
        self.window = np.full(len(level), LATE, np.int32)
        self.window[UNKNOWN] = NEVER
        self.window[who.come] = entered
        sides = _Sides(levels, who, self.window)
        self.asked = np.full(len(levels.first), NEVER, np.int32)
        if asks:
            self.asked = sides.asked(last_row, links.earliest(entered))
        self.count = int(entered.max(initial=NEVER)) + 1
        self.stays = np.maximum(last_row, sides.held(self.asked)[who.come])
        self.stays[np.searchsorted(who.come, keep)] = self.count
        if asks:  # whoever is held by one question can wait for the others as well
            self.asked = sides.asked(self.stays)
        if group is None:
            group = max(SMALLEST, min(LARGEST, len(who.come) // (4 * self.count or 1)))
        self._lay_out(levels, entered, group)

    def _lay_out(self, levels: Levels, entered: Small, group: int) -> None:
        """Give everyone a place, in groups of those who enter together and leave about together.

        Young of one sire lie side by side, so that his row is read once.
        """
        self.group = group
        stay = self.stays > entered
        order = np.lexsort((levels.first[self.come], -self.stays, entered))
        order = order[stay[order]]
        cuts = np.searchsorted(entered[order], np.arange(self.count + 1)).tolist()
        self.place = np.full(len(self.window), NO_PLACE, np.int64)
        self.windows: list[Window] = []
        room = _Room()
        self.cells = self.passing = 0
        for number, (begin, end) in enumerate(itertools.pairwise(cuts)):
            some = order[begin:end]
            live = room.live(number)
            groups = room.taken(number, self.stays[some[::group]].tolist())
            nodes = self.come[some]
            self.place[nodes] = (groups[:, None] * group + np.arange(group)).ravel()[: len(nodes)]
            absent = int(np.count_nonzero(self.window[levels.parents(nodes)] == LATE))
            self.passing = max(self.passing, absent)
            self.windows.append(Window(nodes, groups, live))
            self.cells += len(groups) * (len(live) + len(groups)) * group**2
        self.groups = room.groups
        rows = self.groups * group + self.passing
        self.megabytes = self.groups * group * rows * 8 / 1e6


class _Room:
    """Groups of places: the lowest free one is taken first, so that the table stays small."""

    def __init__(self) -> None:
        self.groups = 0
        self._free: list[int] = []
        self._until: dict[int, int] = {}

    def live(self, window: int) -> Ints:
        """Groups that are there at the beginning of a window; the others are free again."""
        for group in [group for group, last in self._until.items() if last < window]:
            del self._until[group]
            heapq.heappush(self._free, group)
        return np.array(sorted(self._until), np.int64)

    def taken(self, window: int, until: list[int]) -> Ints:
        """A group for each of these last windows, ascending."""
        while len(self._free) < len(until):
            heapq.heappush(self._free, self.groups)
            self.groups += 1
        groups = [heapq.heappop(self._free) for _ in until]
        self._until.update(zip(groups, until, strict=True))
        return np.array(groups, np.int64)


class _Links:
    """From those who enter to those who stand for their parents, both numbered among `come`."""

    def __init__(self, come: Ints, stands: Ints, size: int) -> None:
        self._count = len(come)
        number = np.full(size + 1, UNKNOWN, np.int32)
        number[come] = np.arange(len(come))
        parent = number[stands.reshape(2 * len(stands), len(come))]
        known = parent != UNKNOWN
        self._young = np.broadcast_to(np.arange(len(come), dtype=np.int32), parent.shape)[known]
        self._parent = parent[known]
        self._parents = parent

    def windows(self, level: Small) -> Small:
        """When everyone enters: (m,), from 0. Levels are ascending."""
        generations = int(level.max(initial=0)) + 1
        finer = max(1, min(FINEST, round(self._count / generations / WINDOW)))
        wanted = np.floor(self._times(level) * finer + 0.5).astype(np.int32)
        found = np.append(wanted, np.int32(-LATE))
        starts = np.searchsorted(level, np.arange(generations + 1)).tolist()
        for begin, end in itertools.pairwise(starts):
            after = found[self._parents[:, begin:end]].max(axis=0) + 1
            found[begin:end] = np.maximum(found[begin:end], after)
        found = found[:-1]
        orphan = np.ones(self._count, np.bool_)
        orphan[self._young] = False
        first = np.full(self._count, LATE)
        np.minimum.at(first, self._parent, found[self._young])
        orphan &= first < LATE
        found[orphan] = first[orphan] - 1
        number: Small = np.unique(found, return_inverse=True)[1].astype(np.int32)
        return number

    def _times(self, level: Small) -> Floats:
        """Birth in generations: the mean of the parents' and one, and of the young's less one."""
        time: Floats = level.astype(np.float64)
        young, parent, count = self._young, self._parent, self._count
        links = np.bincount(young, minlength=count) + np.bincount(parent, minlength=count)
        more = np.bincount(young, minlength=count) - np.bincount(parent, minlength=count)
        for _ in range(ROUNDS):
            near = np.bincount(young, time[parent], count) + np.bincount(parent, time[young], count)
            time = np.where(links > 0, (near + more) / np.maximum(links, 1), time)
        return time

    def greatest_of_young(self, values: Small, least: int) -> Small:
        """Of everyone the greatest value among those whose rows it is needed for: (m,)."""
        found = np.full(self._count, least, np.int32)
        np.maximum.at(found, self._parent, values[self._young])
        return found

    def earliest(self, entered: Small) -> Small:
        """From which window on ancestors, at most BACK generations away, answer for it: (m,)."""
        found = entered + np.int32(1)
        for _ in range(BACK):
            found = np.append(found, np.int32(0))[self._parents].max(axis=0)
        return found


class _Sides:
    """What a question has to heed about each of its two sides.

    Of one who does not enter it is what those who stand for it demand together.
    """

    def __init__(self, levels: Levels, who: Standing, window: Small) -> None:
        self._levels, self._who = levels, who
        self._entered = self._of_all(window[who.come], np.maximum)

    def asked(self, leaves: Small, earliest: Small | None = None) -> Small:
        """The window before which each question is asked: when the first of the two must go.

        Not before `earliest`: then both stay until it is asked. Both are of those who enter.
        """
        one, other = self._levels.first, self._levels.second
        leaves = self._of_all(leaves, np.minimum)
        found = np.minimum(leaves[one], leaves[other])
        if earliest is not None:
            earliest = self._of_all(earliest, np.maximum)
            found = np.maximum(found, np.maximum(earliest[one], earliest[other]))
        here = np.maximum(self._entered[one], self._entered[other]) + np.int32(1)
        found = np.minimum(here, found)
        found[(one == UNKNOWN) | (other == UNKNOWN)] = NEVER
        return found

    def _of_all(self, values: Small, of_two: np.ufunc) -> Small:
        """Of every node, (nodes + 1,), from those of the ones who enter."""
        nobody = LATE if of_two is np.minimum else NEVER  # the unknown parent demands nothing
        found = np.full(len(self._who.level), nobody, np.int32)
        found[self._who.come] = values
        for group in self._who.replaced:  # the parents of the second may be of the first
            one, other = self._levels.parents(group)
            found[group] = of_two(found[one], found[other])
        return found

    def held(self, asked: Small) -> Small:
        """Until when a node is needed by questions: (nodes + 1,), for those who enter."""
        until = np.full(len(self._entered), NEVER, np.int32)
        for parent in (self._levels.first, self._levels.second):
            np.maximum.at(until, parent, asked)
        for group in reversed(self._who.replaced):
            for parent in self._levels.parents(group):
                np.maximum.at(until, parent, until[group])
        return until
