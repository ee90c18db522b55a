"""Questions about plans that gather several rows; they write nothing."""

import datetime
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import TruncDate

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.pairings.models import Pairing
from breeding.pairings.queries import HERE, females_here, males_here
from breeding.planning.models import PlannedPairing
from breeding.planning.season.nearest import NAMED, DirectWay, likeliest
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.reasons import Line, thin_lines
from breeding.planning.season.told.direct import Around, direct_ways
from breeding.planning.season.trait_wish import ENOUGH
from breeding.planning.season.wishes import Wishes
from breeding.program.unchanged.growing import kept_while_growing
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.traits.models import Trait
from breeding.traits.queries import chance_of_one
from breeding.words.language import tell
from pedigree.plans.rules import SLACK
from pedigree.rows import Floats

if TYPE_CHECKING:
    from breeding.planning.season.told.under_way import Settled, UnderWay

WORTH_SAYING = 0.05  # a chance below it is no answer to a wish


def waiting() -> QuerySet[PlannedPairing]:
    """Planned pairings that still wait, by their day; one of an animal that is gone does not."""
    return unfulfilled().filter(female__state__in=HERE, male__state__in=HERE)


def waiting_now() -> Sequence[PlannedPairing]:
    """The same read; kept until one is written, or an animal, a pairing or a tank: nobody may
    change them."""
    return kept_while_growing("pairings that wait", lambda: tuple(waiting()), {})


def unfulfilled() -> QuerySet[PlannedPairing]:
    """Planned pairings that are neither fulfilled nor given up, by their day.

    One is fulfilled when the two are put together after it was planned (on the same day: when
    that was written down later).
    """
    later_that_day = Q(
        introduced_on=OuterRef("planned_on"), recorded_at__gte=OuterRef("recorded_at")
    )
    done = Pairing.objects.filter(
        Q(introduced_on__gt=OuterRef("planned_on")) | later_that_day,
        female=OuterRef("female"),
        male=OuterRef("male"),
        withdrawn_at__isnull=True,
    )
    return (
        PlannedPairing.objects.filter(withdrawn_at__isnull=True)
        .annotate(planned_on=TruncDate("recorded_at"))
        .filter(~Exists(done))
        .select_related("female", "female__portrait", "male", "tank")
        .order_by("not_before", "pk")
    )


def given_up(*, most: int = 30) -> list[PlannedPairing]:
    """The latest plans that were given up: one query."""
    found = PlannedPairing.objects.filter(withdrawn_at__isnull=False)
    return list(
        found.select_related("female", "male", "withdrawn_by").order_by("-withdrawn_at")[:most]
    )


def males_and_females_here() -> list[Animal]:
    """Females first, by name; kept until an animal is written: nobody may change them."""

    def read() -> list[Animal]:
        return [
            *females_here().select_related("portrait").order_by("call_name", "code"),
            *males_here().select_related("portrait").order_by("call_name", "code"),
        ]

    return kept_while_growing("males and females here", read, {})


def living_keys() -> Sequence[int]:
    """Everybody living in the program."""
    living = Animal.objects.filter(state__in=HERE).order_by("pk").values_list("pk", flat=True)
    return kept_while_unchanged("living keys", lambda: list(living))


def lines_nearly_lost() -> dict[int, Line]:
    """`thin_lines` of everybody living; kept, and nobody may change it."""
    return kept_while_growing(
        "lines nearly lost", lambda: thin_lines(lineage.current(), living_keys()), {}
    )


def trait_chances(
    trait: Trait | None, wishes: Wishes, females: Sequence[Candidate], males: Sequence[Candidate]
) -> Floats | None:
    """Of the trait that is wished for, in young of each female (row) with each male; None where
    none is, or where nothing can be said of it."""
    wish = wishes.trait
    if trait is None or wish is None:
        return None
    hers, his = ([one.animal.pk for one in some] for some in (females, males))
    found = chance_of_one(trait, his, hers, young=wish.young, look=wish.look)
    return None if found is None else found.T


def can_be_carried(
    trait: Trait | None, wishes: Wishes, females: Sequence[Candidate], males: Sequence[Candidate]
) -> bool:
    """Whether young of some of these would have the trait, shown or carried, with the chance that
    is wished for."""
    wish = wishes.trait
    if wish is None:
        return False
    chances = trait_chances(trait, replace(wishes, trait=replace(wish, look="has")), females, males)
    return chances is not None and bool((chances >= wish.least - ENOUGH).any())


def trait_under_way(
    trait: Trait | None, wishes: Wishes, settled: "UnderWay"
) -> tuple[tuple["Settled", str], ...]:
    """What is under way and may bring the trait that is wished for, and what the young will be;
    the likeliest first."""
    wish = wishes.trait
    pairs = [(one, male) for one in settled.everybody for male in one.males]
    if trait is None or wish is None or not pairs:
        return ()
    hers = list(dict.fromkeys(one.female.animal.pk for one, _ in pairs))
    his = list(dict.fromkeys(male for _, male in pairs))
    table = chance_of_one(trait, his, hers, young=wish.young, look=wish.look)
    if table is None:
        return ()
    found = [
        (float(table[his.index(male), hers.index(one.female.animal.pk)]), one)
        for one, male in pairs
    ]
    likely = sorted((one for one in found if one[0] >= WORTH_SAYING), key=lambda one: -one[0])
    return tuple((one, wish.of_pair(chance)) for chance, one in likely[:NAMED])


def others_with_trait(
    trait: Trait | None,
    wishes: Wishes,
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    chosen: Collection[int],
) -> tuple[DirectWay, ...]:
    """Pairs that would give the trait and are not asked for, with what stands against them."""
    wish, chances = wishes.trait, trait_chances(trait, wishes, females, males)
    if wish is None or chances is None:
        return ()
    everybody = [one.animal.pk for one in (*females, *males)]
    kinship = lineage.current().pedigree.kinship_matrix(everybody)
    kinship = kinship[: len(females), len(females) :]
    most = 1.0 if wishes.most is None else wishes.most
    places = (chances >= wish.least - ENOUGH) & (kinship <= most + SLACK)
    if wishes.below is not None:
        places &= kinship < wishes.below - SLACK
    found = []
    for row, column in np.argwhere(places).tolist():
        her, him = females[row], males[column]
        if {her.animal.pk, him.animal.pk} <= set(chosen):
            continue
        against = [
            tell("{animal} {reason}", animal=one.animal.name, reason=said)
            for one in (her, him)
            for said in one.hindrances[:1]
        ]
        found.append(
            DirectWay(
                row,
                column,
                float(chances[row, column]),
                float(kinship[row, column]),
                tuple(against),
            )
        )
    return likeliest(found)


def ways_said(
    trait: Trait | None,
    wishes: Wishes,
    ways: Sequence[DirectWay],
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    *,
    today: datetime.date,
    rest_days: int,
    litter: int,
) -> tuple[str, ...]:
    """Direct ways to a trait in words; of a litter the chances of these animals alone are asked."""
    hers, his = ({one.row for one in ways}, {one.column for one in ways})
    rows, columns = ({place: at for at, place in enumerate(sorted(some))} for some in (hers, his))
    of_litter = None
    if wishes.trait is not None and wishes.trait.young == 1 < litter:
        of_litter = trait_chances(
            trait,
            replace(wishes, trait=replace(wishes.trait, young=litter)),
            [females[place] for place in rows],
            [males[place] for place in columns],
        )
    return direct_ways(
        [replace(one, row=rows[one.row], column=columns[one.column]) for one in ways],
        [females[place] for place in rows],
        [males[place] for place in columns],
        Around(wishes, lineage.current(), today, rest_days, litter, of_litter),
    )
