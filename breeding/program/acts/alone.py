"""One act at a time: whoever writes sees all that was written before, and nothing half done."""

from django.db import connection

from breeding.program.frame.memory import forget_everything

LONGEST_WAIT_SECONDS = 15  # for another act to end; an import of thousands of animals is quicker
_LOCK = 0x7261_7977_6172_6400  # the same in every process; "rayward" and a number


def one_at_a_time() -> None:
    """Wait until nobody else writes; until this transaction ends nobody else does.

    What a page has read before is asked anew: rules that look before they write (two together
    already, an animal among its own ancestors) are then asked of what stands now. SQLite has one
    writer at a time by itself (BEGIN IMMEDIATE); PostgreSQL would let two look and both write.
    Raises OperationalError when it takes too long (see problems/busy.py).
    """
    if not connection.in_atomic_block:
        raise RuntimeError("An act is one transaction; begin it before waiting for the others.")
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT set_config('lock_timeout', %s, true), pg_advisory_xact_lock(%s)",
                [f"{LONGEST_WAIT_SECONDS}s", _LOCK],
            )
    forget_everything()
