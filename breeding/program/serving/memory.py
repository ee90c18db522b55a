"""Memory that was given back goes back to the computer: told to the C library where it is glibc.

Left alone it keeps a heap for each thread, and in them what was used once. With few heaps, and
large pieces outside them, the server holds about what it needs (mallopt(3)). What lies free between
pieces that live on goes back when it is asked for, once a minute (malloc_trim(3)).

Python looks through everything that lives for what only holds itself, whenever enough was made: a
page in 20 waited for it, as long as for 30 empty ones. It looks through what is young as it goes,
and through all of it once a minute.
"""

import ctypes
import gc
import sys

# As malloc.h has them.
_TRIM_THRESHOLD, _MMAP_THRESHOLD, _ARENA_MAX = -1, -3, -8
HEAPS = 2
LARGE_BYTES = 256 * 1024

YOUNG, TIMES = 10_000, 50  # so many made, and so many times that, before it is looked through
NEVER = 1_000_000_000


def hold_little() -> bool:
    """To be called before threads begin; whether the C library has taken it."""
    if not sys.platform.startswith("linux"):
        return False
    library = ctypes.CDLL(None)
    if not hasattr(library, "mallopt"):  # musl has one heap for all
        return False
    wanted = (_ARENA_MAX, HEAPS), (_MMAP_THRESHOLD, LARGE_BYTES), (_TRIM_THRESHOLD, LARGE_BYTES)
    taken = [library.mallopt(*one) for one in wanted]
    return all(taken)


def look_through_all_by_the_minute() -> None:
    """No page waits for it; to be called where `give_back` is called every minute."""
    gc.collect()
    gc.freeze()  # what a start has read lives as long as the server
    gc.set_threshold(YOUNG, TIMES, NEVER)


def look_through_all_as_python_does(thresholds: tuple[int, int, int] = gc.get_threshold()) -> None:
    """As it was before `look_through_all_by_the_minute`."""
    gc.set_threshold(*thresholds)
    gc.unfreeze()


def give_back() -> bool:
    """All is looked through, and what lies free goes back; whether anything did.

    Some 100 ms for 350 MB.
    """
    gc.collect()
    if not sys.platform.startswith("linux"):
        return False
    library = ctypes.CDLL(None)
    return hasattr(library, "malloc_trim") and bool(library.malloc_trim(0))
