"""How many young each candidate should leave, beside what it has left so far."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Q

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.pairings.queries import HERE
from breeding.planning.season.readiness import Candidate
from breeding.program.unchanged.growing import kept_from_page_to_page
from breeding.program.unchanged.marks import rests_on
from breeding.words.language import tell_as
from breeding.words.numbers import percent
from pedigree.plans.optimal_contributions import Contributions, optimal_contributions

OF_YOUNG = 20  # the share is also said as so many of the next twenty young


@dataclass(frozen=True)
class ContributionRow:
    """One candidate: its best share of the genes of the young, and its young so far."""

    animal: Animal
    share: float  # of its sex's half, 0 to 1
    of_next: int  # of the next OF_YOUNG young
    living_young: int
    young: int

    @property
    def share_words(self) -> str:
        return percent(self.share) if self.share > 1e-9 else tell_as("no share", "none")


@dataclass(frozen=True)
class ContributionTable:
    """Females first, largest share first; `found` holds the mean kinship of such young."""

    rows: tuple[ContributionRow, ...]
    found: Contributions
    of_young: int = OF_YOUNG

    def first(self, most: int) -> tuple[ContributionRow, ...]:
        """Of each sex those with the largest shares, half as many as these."""
        by_sex = [[row for row in self.rows if row.animal.sex == sex] for sex in Animal.Sex.values]
        return tuple(row for rows in by_sex for row in rows[: most // 2])


def contribution_rows(
    females: Sequence[Candidate], males: Sequence[Candidate]
) -> ContributionTable:
    """Exact to 1e-12 of the mean kinship (see `optimal_contributions`); two queries.

    Kept until an animal or its parents are written; nobody may change it.
    """
    hers, his = ([one.animal for one in some] for some in (females, males))
    keys = tuple(tuple(one.pk for one in some) for some in (hers, his))
    return kept_from_page_to_page(("young to leave", keys), lambda: _contributions(hers, his))


def _contributions(hers: Sequence[Animal], his: Sequence[Animal]) -> ContributionTable:
    rests_on(Animal)
    everybody = [*hers, *his]
    keys = [one.pk for one in everybody]
    is_male = [False] * len(hers) + [True] * len(his)
    kinship = lineage.current().pedigree.kinship_matrix(keys)
    found = optimal_contributions(kinship, is_male)
    of_next = found.young(OF_YOUNG).tolist()
    young: dict[int, tuple[int, int]] = {}
    living = Count("pk", filter=Q(state__in=HERE))
    for side in ("sire", "dam"):
        rows = Animal.objects.filter(**{f"{side}__in": keys}).values_list(side)
        for pk, here, in_all in rows.annotate(living=living, in_all=Count("pk")).order_by():
            young[pk] = (here, in_all)
    found_rows = [
        ContributionRow(one, 2 * float(share), count, *young.get(one.pk, (0, 0)))
        for one, share, count in zip(everybody, found.shares, of_next, strict=True)
    ]
    return ContributionTable(
        tuple(sorted(found_rows, key=lambda row: (row.animal.sex, -row.share))), found
    )
