"""What a page needed for a moment is given back when it is done."""

import subprocess
import sys

import pytest

pytestmark = pytest.mark.one_database("what the C library does with memory")

# A hundred pieces of 1 MB, then a small one that lives on; how many MB are held without the large.
LARGE_PIECES = """
import sys
from breeding.program.serving import memory
if sys.argv[1] == "little" and not memory.hold_little():
    print("not this C library"); raise SystemExit
def held():
    rows = open("/proc/self/status").read().splitlines()
    return next(int(row.split()[1]) for row in rows if row.startswith("VmRSS")) / 1024
bytearray(1_000_000)  # from now on glibc would put pieces as large as this into the heap
before = held()
pieces = [bytearray(b"x" * 1_000_000) for _ in range(100)]
lives_on = [bytearray(100_000) for _ in range(30)]
del pieces
print(held() - before)
"""


def held_after(how):
    done = subprocess.run(
        [sys.executable, "-c", LARGE_PIECES, how], capture_output=True, text=True, check=True
    )
    if "not this" in done.stdout:
        pytest.skip("the C library is not glibc")
    return float(done.stdout)


def test_large_pieces_go_back_although_small_ones_live_on_behind_them():
    assert held_after("little") < 20


def test_without_being_told_the_c_library_keeps_them():
    """If this ever fails, the C library has learned it, and telling it can go."""
    held_after("little")  # skips where there is another C library
    assert held_after("much") > 60
