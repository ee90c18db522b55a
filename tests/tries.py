"""How many examples hypothesis tries of what must hold for any.

As many as a test says, times RAYWARD_TRIES: 10 looks deeper, 0.3 is for a second database.
"""

import os

TIMES = float(os.environ.get("RAYWARD_TRIES", "1"))


def tries(number: int) -> int:
    """So many times as many, and never none."""
    return max(1, round(number * TIMES))
