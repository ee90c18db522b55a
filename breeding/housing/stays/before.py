"""Who was where before a day, as one short value: whether anything of it is another by now."""

import datetime
import hashlib

from django.db import connection

from breeding.housing.models import Stay

_TOGETHER = {"sqlite": "GROUP_CONCAT(one, ';')", "postgresql": "STRING_AGG(one, ';')"}


def stays_before(day: datetime.date) -> str:
    """A digest of every stay that counts and began before this day: animal, tank, side and days.

    What ended on that day or later, or goes on, is the same: a move today changes nothing of it.
    One query, put together by the database: about 1 ms for 1,000 stays. Should it ever hand them
    over in another order, the digest is another one, and something is reckoned once more.
    """
    if day == datetime.date.min:
        return ""
    table = Stay._meta.db_table
    one = (
        "animal_id || ',' || tank_id || ',' || side || ',' || since || ',' || "
        "CASE WHEN until < %s THEN CAST(until AS VARCHAR(10)) ELSE '' END"
    )
    rows = (
        f'SELECT {one} AS one FROM "{table}" '  # noqa: S608
        "WHERE withdrawn_at IS NULL AND since < %s ORDER BY id"
    )
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT {_TOGETHER[connection.vendor]} FROM ({rows}) AS stays",  # noqa: S608
            [day.isoformat(), day.isoformat()],
        )
        (found,) = cursor.fetchone()
    return hashlib.sha256((found or "").encode()).hexdigest()
