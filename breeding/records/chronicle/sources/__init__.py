"""What the rooms tell: a file for each of them. A new source is written there and named here."""

from breeding.records.chronicle.source import Source
from breeding.records.chronicle.sources import (
    animals,
    arrivals,
    buyers,
    feeding,
    health,
    history,
    housing,
    litters,
    pairings,
    papers,
    program,
    traits,
)

SOURCES: tuple[Source, ...] = (
    *animals.SOURCES,
    *health.SOURCES,
    *housing.SOURCES,
    *feeding.SOURCES,
    *pairings.SOURCES,
    *litters.SOURCES,
    *traits.SOURCES,
    *buyers.SOURCES,
    *arrivals.SOURCES,
    *papers.SOURCES,
    *animals.GOING,
    *program.SOURCES,
    *history.SOURCES,
)
