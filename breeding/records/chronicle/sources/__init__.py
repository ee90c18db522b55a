"""What the rooms tell: a file for each of them. A new source is written there and named here."""

from breeding.records.chronicle.source import Source
from breeding.records.chronicle.sources import (
    animals,
    buyers,
    health,
    history,
    housing,
    litters,
    pairings,
    papers,
    program,
)

# On one day the later ones stand above. A room that keeps food adds its file here.
SOURCES: tuple[Source, ...] = (
    *animals.SOURCES,
    *health.SOURCES,
    *housing.SOURCES,
    *pairings.SOURCES,
    *litters.SOURCES,
    *buyers.SOURCES,
    *papers.SOURCES,
    *animals.GOING,
    *program.SOURCES,
    *history.SOURCES,
)
