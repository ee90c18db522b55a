"""Which of the marks seen of an animal still stand: until a look found none."""

from collections.abc import Sequence

from breeding.gestation.actions import Injury
from breeding.pairings.models import Sighting
from breeding.pairings.season.seen import seen_on

EATS_AGAIN = "eats_again"  # the sign that ends refused food


def not_healed(sightings: Sequence[Sighting]) -> list[Injury]:
    """Marks since the last look that found none, of sightings as they were seen."""
    standing: list[Injury] = []
    for one in sightings:
        if one.severity == 0:
            standing.clear()
        elif one.severity is not None:
            standing.append(Injury(seen_on(one), one.severity))
    return standing
