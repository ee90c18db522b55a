"""Every kind of table, in the order in which the sheets of a workbook are brought in."""

from collections.abc import Mapping, Sequence

from breeding.records.incoming.kinds.animals.deaths import DEATHS
from breeding.records.incoming.kinds.animals.feedings import FEEDINGS
from breeding.records.incoming.kinds.animals.health import OBSERVATIONS, QUARANTINES, TREATMENTS
from breeding.records.incoming.kinds.animals.measurements import MEASUREMENTS
from breeding.records.incoming.kinds.animals.species import SPECIES
from breeding.records.incoming.kinds.animals.strains import STRAINS
from breeding.records.incoming.kinds.animals.traits import TRAIT_LOOKS
from breeding.records.incoming.kinds.kind import Kind
from breeding.records.incoming.kinds.reminders import REMINDERS
from breeding.records.incoming.kinds.seasons.litters import LITTERS
from breeding.records.incoming.kinds.seasons.pairings import PAIRINGS
from breeding.records.incoming.kinds.seasons.sightings import SIGHTINGS
from breeding.records.incoming.kinds.tanks.changes import CHANGES
from breeding.records.incoming.kinds.tanks.stays import STAYS
from breeding.records.incoming.kinds.tanks.water import WATER
from breeding.records.incoming.kinds.trade.arrivals import ARRIVALS, LOANS
from breeding.records.incoming.kinds.trade.people import PEOPLE
from breeding.records.incoming.kinds.trade.sales import SALES
from breeding.records.incoming.meanings import MEANINGS, Meaning, guess
from breeding.records.models import ImportDraft

ANIMALS = ImportDraft.Kind.ANIMALS
# Animals are read together, since rows name each other: proposal.py.
KINDS: Mapping[str, Kind] = {
    kind.key: kind
    for kind in (
        *(SPECIES, STRAINS, PEOPLE, MEASUREMENTS, STAYS, PAIRINGS),
        *(SIGHTINGS, LITTERS, WATER, FEEDINGS, OBSERVATIONS, TREATMENTS, CHANGES, SALES),
        *(ARRIVALS, LOANS, QUARANTINES, DEATHS, TRAIT_LOOKS, REMINDERS),
    )
}
_NAMES = ("code", "call_name")


def meanings_of(key: str) -> tuple[Meaning, ...]:
    """What a column can mean in a table of this kind."""
    return MEANINGS if key == ANIMALS else KINDS[key].meanings


def note_of(key: str) -> str:
    """The meaning that takes what has no column of its own; empty for none."""
    return "note" if key == ANIMALS else KINDS[key].note


def guess_kind(headers: Sequence[str]) -> str:
    """The kind that knows most of these columns and misses none that it needs; else animals.

    >>> guess_kind(["animal", "date", "width"]), guess_kind(["alpha", "beta"])
    ('measurements', 'animals')
    """
    own = guess(headers)
    best, known = str(ANIMALS), len(own) if own.keys() & {*_NAMES} else 0
    for key, kind in KINDS.items():
        found = guess(headers, kind.meanings)
        # What may be asked once for all rows is not what tells the kind.
        needed = {one.key for one in kind.needed if one.sort != "transport"}
        if needed <= found.keys() and len(found) > max(known, 1):
            best, known = key, len(found)
    return best
