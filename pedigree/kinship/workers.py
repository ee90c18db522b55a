"""Threads that share one piece of work after the other; numpy lets them run at the same time."""

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from types import TracebackType
from typing import Self, TypeVar

MOST = 4  # threads; the other processors are for those who wait for a page
FEWEST = 4  # parts of a piece of work that are worth a thread

Part = TypeVar("Part")
Room = TypeVar("Room")


class Workers:
    """As many threads as there are processors for us, this one among them, at most `MOST`."""

    def __init__(self, count: int | None = None) -> None:
        self.count = count or min(MOST, _processors())
        self._pool = ThreadPoolExecutor(self.count - 1) if self.count > 1 else None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._pool is not None:
            self._pool.shutdown()

    def share(
        self, parts: Sequence[Part], work: Callable[[Part, Room], None], rooms: Sequence[Room]
    ) -> None:
        """Do the work on every part, each thread in a room of its own; returns when all is done.

        Fewer rooms, fewer threads.
        """

        def do(some: Sequence[Part], room: Room) -> None:
            for part in some:
                work(part, room)

        count = min(self.count, len(rooms), len(parts) // FEWEST)
        if self._pool is None or count < 2:
            do(parts, rooms[0])
            return
        others = [self._pool.submit(do, parts[n::count], rooms[n]) for n in range(1, count)]
        try:
            do(parts[::count], rooms[0])
        finally:
            for other in others:
                other.result()


def _processors() -> int:
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1
