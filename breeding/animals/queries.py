"""Questions about animals that gather several rows for a page; they write nothing."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db.models import QuerySet

from breeding.animals import lineage
from breeding.animals.descent import Descent, descent_of_young
from breeding.animals.models import Animal, PossibleSire
from breeding.animals.species.profiles import all_profiles


def gestation_longest_days(dam: Animal | None) -> int:
    """The longest gestation to allow for, by the dam's species."""
    profiles = all_profiles()
    if dam is None or dam.pk is None:
        return profiles.unknown.gestation_longest_days
    return profiles.of(lineage.current().shares.get(dam.pk, {})).gestation_longest_days


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
    beliefs = PossibleSire.objects.exclude(animal=besides).filter(sire__in=keys)
    sires |= set(beliefs.values_list("sire_id", flat=True))
    dams = set(others.filter(dam__in=keys).values_list("dam_id", flat=True))
    return frozenset(sires), frozenset(dams)


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


def young_of(animal: Animal) -> Iterable[Animal]:
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
