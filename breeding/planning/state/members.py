"""Who counts as living in the program, now and at the end of each year; and which part of it."""

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.db.models import Min
from django.utils import timezone

from breeding.animals import lineage
from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal, Strain
from breeding.animals.species.profiles import all_profiles
from breeding.housing.models import Stay
from breeding.pairings.models import Pairing
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.growing import kept_from_page_to_page, kept_while_growing
from breeding.words.language import tell
from pedigree import is_hybrid


@dataclass(frozen=True)
class Member:
    """One animal as far as the state of the program asks."""

    pk: int
    name: str
    sex: str
    born_on: datetime.date | None
    born_precision: str
    is_here: bool
    since: datetime.date | None  # from when it counts; None: nobody knows
    until: datetime.date | None  # the day it left or died; None: it is here, or nobody knows
    strain: int | None
    died: bool = False
    is_born_here: bool = False
    until_is_recorded: bool = False  # `until` is only the day on which that was written down

    def age_years(self, asof: datetime.date) -> float | None:
        return None if self.born_on is None else (asof - self.born_on).days / 365.25

    @property
    def is_gone_since_nobody_knows(self) -> bool:
        return not self.is_here and self.until is None

    def was_living(self, on: datetime.date) -> bool:
        """Whether it counted on that day; one that is here and has no dates counts always.

        One that is gone since nobody knows when counts never.
        """
        if self.is_gone_since_nobody_knows:
            return False
        return (self.since is None or self.since <= on) and (self.until is None or self.until > on)


def members() -> list[Member]:
    """Everybody that is or was in the program, by name: five queries at most.

    An animal counts from its birth here; one from elsewhere from the first day anything is on
    record of it: a tank, a pairing, young, or its birth when nothing else is known. It counts
    until the day it left or died; where no day is given, until that was written down of one that
    was here by the records before. Kept until a stay, a pairing or an animal is written; nobody
    may change it.
    """
    return kept_while_growing("members of the program", _members, {LogEntry: _tells_of_animals})


def _tells_of_animals(written: Written) -> bool:
    """Whether the history has more to say of animals; of all else it is written every day."""
    if written.before:
        return True
    rows = written.added(LogEntry.objects.filter(action=LogEntry.Action.UPDATE))
    return rows.filter(content_type=ContentType.objects.get_for_model(Animal)).exists()


def _members() -> list[Member]:
    first: dict[int, datetime.date] = {}
    pairings = Pairing.objects.filter(withdrawn_at__isnull=True)
    for rows in (
        Stay.objects.values_list("animal_id").annotate(Min("since")),
        pairings.values_list("female_id").annotate(Min("introduced_on")),
        pairings.values_list("male_id").annotate(Min("introduced_on")),
    ):
        for pk, on in rows:
            first[pk] = min(on, first.get(pk, on))
    animals = list(Animal.objects.order_by("call_name", "code"))
    undated = [one.pk for one in animals if one.state in GONE and one.state_on is None]
    written_down = _gone_by_the_history(undated) if undated else {}
    found = []
    for animal in animals:
        gone = animal.state in GONE
        since = first.get(animal.pk)
        if animal.origin == Animal.Origin.BORN_HERE or since is None:
            since = animal.born_on
        found.append(
            Member(
                animal.pk,
                animal.name,
                animal.sex,
                animal.born_on,
                animal.born_precision,
                not gone,
                since,
                (animal.state_on or written_down.get(animal.pk)) if gone else None,
                animal.strain_id,
                animal.state == Animal.State.DIED,
                animal.origin == Animal.Origin.BORN_HERE,
                animal.pk in written_down,
            )
        )
    return found


def _gone_by_the_history(pks: list[int]) -> dict[int, datetime.date]:
    """The day on which it was written down that each left or died, from the history of changes.

    One that was entered as gone is left out: that it was here on any day is on no record.
    """
    found: dict[int, datetime.date] = {}
    changes = LogEntry.objects.filter(
        content_type=ContentType.objects.get_for_model(Animal),
        object_id__in=pks,
        action=LogEntry.Action.UPDATE,
        changes__has_key="state",
    ).order_by("timestamp", "pk")
    for pk, change, at in changes.values_list("object_id", "changes", "timestamp"):
        before, after = change["state"]
        if after in GONE and before not in GONE:
            found[pk] = timezone.localdate(at)
    return found


@dataclass(frozen=True)
class Scope:
    """A part of the program: everybody, one pure species, one strain, the hybrids."""

    key: str
    name: str = ""  # of the species or the strain

    @property
    def label(self) -> str:
        if not self.key:
            return tell("the whole program")
        if self.key == "hybrids":
            return tell("hybrids")
        if self.key.startswith("species:"):
            return tell("pure {species}", species=self.name)
        return tell("strain {strain}", strain=self.name)


EVERYBODY = Scope("")
HYBRIDS = Scope("hybrids")


def parts_here() -> list[Scope]:
    """The parts that have at least two living animals; kept as `members` are."""
    return kept_from_page_to_page("parts of the program", lambda: scopes(members()))


def scopes(everybody: list[Member]) -> list[Scope]:
    """The parts that have at least two living animals."""
    shares, names = lineage.current().shares, all_profiles().names
    strains = dict(Strain.objects.values_list("pk", "name"))
    counts: dict[Scope, int] = {}
    for member in everybody:
        if not member.is_here:
            continue
        for scope in _scopes_of(member, shares.get(member.pk, {}), names, strains):
            counts[scope] = counts.get(scope, 0) + 1
    parts = [scope for scope, count in counts.items() if count > 1]
    return [EVERYBODY, *sorted(parts, key=lambda one: (one.key.split(":")[0], one.label))]


def pure_species(shares: Mapping[int | None, Fraction]) -> int | None:
    """The species an animal is purely of, as far as its ancestry says; else None."""
    return next((label for label, share in shares.items() if share == 1), None)


def _scopes_of(
    member: Member,
    shares: Mapping[int | None, Fraction],
    names: Mapping[int, str],
    strains: Mapping[int, str],
) -> list[Scope]:
    found = []
    species = pure_species(shares)
    if is_hybrid(shares):
        found.append(HYBRIDS)
    elif species is not None:
        found.append(Scope(f"species:{species}", names[species]))
    if member.strain is not None:
        found.append(Scope(f"strain:{member.strain}", strains[member.strain]))
    return found


def within(everybody: list[Member], scope: Scope) -> list[Member]:
    """The members of a part, living or not."""
    if not scope.key:
        return everybody
    shares, names = lineage.current().shares, all_profiles().names
    strains = dict(Strain.objects.values_list("pk", "name"))
    return [
        one for one in everybody if scope in _scopes_of(one, shares.get(one.pk, {}), names, strains)
    ]
