"""What is kept by its key, and of that the newest: what was asked for longest ago goes first."""

from collections import OrderedDict
from collections.abc import Hashable
from threading import Lock
from typing import Generic, TypeVar

Kept = TypeVar("Kept")


class Newest(Generic[Kept]):
    """At most so many, for requests that come at once."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._kept: OrderedDict[Hashable, Kept] = OrderedDict()
        self._lock = Lock()

    def find(self, key: Hashable) -> Kept | None:
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def keep(self, key: Hashable, one: Kept) -> None:
        with self._lock:
            self._kept[key] = one
            self._kept.move_to_end(key)
            while len(self._kept) > self.most:
                self._kept.popitem(last=False)

    def every(self) -> list[tuple[Hashable, Kept]]:
        """As they stand at this moment, the newest last."""
        with self._lock:
            return list(self._kept.items())

    def drop(self, key: Hashable) -> None:
        with self._lock:
            self._kept.pop(key, None)

    def empty(self) -> None:
        with self._lock:
            self._kept.clear()

    def __len__(self) -> int:
        return len(self._kept)
