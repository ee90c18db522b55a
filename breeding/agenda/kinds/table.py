"""The one table of the kinds of lines: stored answers, events and digests name its keys."""

from collections.abc import Mapping

from breeding.agenda.kinds import (
    apart,
    arrivals,
    feeding,
    females,
    health,
    own,
    program,
    space,
    tanks,
    work,
    young,
)
from breeding.agenda.kinds.kind import Kind

TABLE: tuple[Kind, ...] = (
    *females.ROWS,
    *feeding.ROWS,
    *health.ROWS,
    *young.ROWS,
    *space.ROWS,
    *tanks.ROWS,
    *arrivals.ROWS,
    *own.ROWS,
    *program.ROWS,
    *apart.ROWS,
    *work.ROWS,
)
KINDS: Mapping[str, Kind] = {kind.key: kind for kind in TABLE}


def kind_of(key: str) -> Kind:
    """The row that a stored key names; one that a later release wrote is of the group "other".

    >>> kind_of("separate_now").group, kind_of("a_kind_of_tomorrow").group
    ('separation', 'other')
    """
    return KINDS.get(key) or Kind(key, heading="", group="other", page="")
