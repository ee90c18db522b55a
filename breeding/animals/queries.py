"""Questions about animals that gather several rows for a page; they write nothing."""

import datetime
from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import QuerySet

from breeding.animals import lineage
from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal, PossibleSire
from breeding.animals.parents.descent import Descent, descent_of_young
from breeding.animals.species.profiles import all_profiles
from pedigree import LineageError

MOST_ASKED = 10_000  # names in one query; SQLite takes 32,766 and PostgreSQL 65,535


def state_to_show(animal: Animal, today: datetime.date) -> dict[str, Any]:
    """What the form of its state begins with: the day on record once it is gone."""
    is_gone = animal.state in GONE
    return {"state": animal.state, "on": animal.state_on if is_gone else today}


def gestation_longest_days(dam: Animal | None) -> int:
    """The longest gestation to allow for, by the dam's species."""
    profiles = all_profiles()
    if dam is None or dam.pk is None:
        return profiles.unknown.gestation_longest_days
    try:
        shares = lineage.current().shares.get(dam.pk, {})
    except LineageError:  # whoever puts a lineage right that cannot be is not stopped by it
        shares = {}
    return profiles.of(shares).gestation_longest_days


def parts_on_record(
    parents: Iterable[Animal], *, besides: int = 0
) -> tuple[frozenset[int], frozenset[int]]:
    """Which of these animals are a sire, and which a dam, of others than `besides`, by key.

    Those of a recorded sex are left out: it has settled their part. At most three queries.
    """
    keys = {one.pk for one in parents if one.sex == Animal.Sex.UNKNOWN}
    if not keys:
        return frozenset(), frozenset()
    others = Animal.objects.exclude(pk=besides)
    sires = set(others.filter(sire__in=keys).values_list("sire_id", flat=True))
    beliefs = PossibleSire.objects.filter(lineage.COUNTS, sire__in=keys).exclude(animal=besides)
    sires |= set(beliefs.values_list("sire_id", flat=True))
    dams = set(others.filter(dam__in=keys).values_list("dam_id", flat=True))
    return frozenset(sires), frozenset(dams)


def with_code(codes: Iterable[str]) -> dict[str, Animal]:
    """The animals of these codes, by code, as far as they are on record and count."""
    wanted = list(codes)
    found: dict[str, Animal] = {}
    for first in range(0, len(wanted), MOST_ASKED):
        some = wanted[first : first + MOST_ASKED]
        found |= {one.code: one for one in Animal.objects.filter(code__in=some)}
    return found


def species_names() -> Mapping[int, str]:
    """Short names by key."""
    return all_profiles().names


def animal_rows(queryset: QuerySet[Animal]) -> list[dict[str, Any]]:
    """Rows for the list of animals: one query, F from the lineage; words only for those shown."""
    known = lineage.current()
    inbreeding, generations = known.inbreeding, known.equivalent_generations
    fields = ("pk", "code", "call_name", "sex", "born_on", "born_precision", "state", "portrait_id")
    rows: list[dict[str, Any]] = []
    for row in queryset.order_by("call_name", "code").values(*fields):
        pk = row["pk"]
        row["sort_name"] = (not row["call_name"], (row["call_name"] or row["code"]).casefold())
        row["born_key"] = row["born_on"].isoformat() if row["born_on"] else ""
        row["inbreeding"] = inbreeding.get(pk, 0.0)
        row["generations"] = generations.get(pk, 0.0)
        rows.append(row)
    return rows


PairWords = Descent  # of the young that two animals would have


def pair_words(sire: Animal, dam: Animal) -> PairWords:
    """What the young of these two would be, and why they would be inbred."""
    return descent_of_young(sire, dam)


def is_of_this_year(animal: Animal, today: datetime.date) -> bool:
    """Born within the last year: of these buyers ask."""
    return animal.born_on is not None and (today - animal.born_on).days < 366


def young_of(animal: Animal) -> QuerySet[Animal]:
    """Everyone whose recorded sire, dam or possible sire it is, oldest first."""
    return (
        (
            Animal.objects.filter(sire=animal)
            | Animal.objects.filter(dam=animal)
            | Animal.objects.filter(possible_sires__sire=animal)
        )
        .distinct()
        .order_by("born_on", "code")
    )
