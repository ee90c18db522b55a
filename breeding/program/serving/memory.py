"""Memory that was given back goes back to the computer: told to the C library where it is glibc.

Left alone it keeps a heap for each thread, and in them what was used once. With few heaps, and
large pieces outside them, the server holds about what it needs (mallopt(3)). What lies free between
pieces that live on goes back when it is asked for, once a minute (malloc_trim(3)).
"""

import ctypes
import sys

# As malloc.h has them.
_TRIM_THRESHOLD, _MMAP_THRESHOLD, _ARENA_MAX = -1, -3, -8
HEAPS = 2
LARGE_BYTES = 256 * 1024


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


def give_back() -> bool:
    """What lies free goes back, at once; whether anything did. Some 20 ms for 350 MB."""
    if not sys.platform.startswith("linux"):
        return False
    library = ctypes.CDLL(None)
    return hasattr(library, "malloc_trim") and bool(library.malloc_trim(0))
