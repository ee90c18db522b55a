"""Who was with whom over the last year, counted in days for a page; writes nothing."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from breeding.animals.models import Animal
from breeding.pairings.season.exposure import DAY, Exposure, Stretch, exposure_of
from breeding.pairings.season.facts import females_here, gather_together
from breeding.program.unchanged.growing import kept_while_growing
from breeding.words.language import tell

COMPANY_DAYS = 365


@dataclass(frozen=True)
class MaleCompany:
    """The days a female spent with one male, and from what that is known."""

    male: Animal
    stretches: tuple[Stretch, ...]
    days: int
    tank_days: int
    pairing_days: int
    is_maturity_unknown: bool

    @property
    def is_now(self) -> bool:
        return self.stretches[-1].last is None

    @property
    def source_words(self) -> str:
        """From what the days are known."""
        if self.tank_days == self.pairing_days == self.days:
            return tell("by pairing and tank alike")
        if not self.pairing_days:
            return tell("by the tank")
        if not self.tank_days:
            return tell("by the pairing")
        return tell(
            "{pairing_days} by the pairing, {tank_days} by the tank",
            pairing_days=self.pairing_days,
            tank_days=self.tank_days,
        )


@dataclass(frozen=True)
class FemaleCompany:
    """One female with every male she was with."""

    female: Animal
    males: tuple[MaleCompany, ...]


def in_company(*, asof: datetime.date) -> tuple[int, ...]:
    """Keys of the females that are here and had any company in the last COMPANY_DAYS, by name."""

    def read() -> tuple[int, ...]:
        females = females_here(asof)
        exposure = exposure_of(gather_together(females))
        since = _since(asof)
        return tuple(one.pk for one in females if exposure.is_with_any(one.pk, since, asof))

    return kept_while_growing(("in company", asof), read, {})


def company_of(
    females: Sequence[Animal], exposure: Exposure, *, asof: datetime.date
) -> list[FemaleCompany]:
    """The company of the last COMPANY_DAYS of each of these that had any, in their order."""
    since = _since(asof)
    rows = []
    for female in females:
        by_male: dict[int, list[Stretch]] = {}
        for stretch in exposure.stretches(female.pk, since=since, asof=asof):
            by_male.setdefault(stretch.male.pk, []).append(stretch)
        males = tuple(
            _with_one(exposure, female, stretches, since, asof) for stretches in by_male.values()
        )
        if males:
            rows.append(FemaleCompany(female, males))
    return rows


def _since(asof: datetime.date) -> datetime.date:
    return asof - DAY * (COMPANY_DAYS - 1)


def _with_one(
    exposure: Exposure,
    female: Animal,
    stretches: Sequence[Stretch],
    since: datetime.date,
    asof: datetime.date,
) -> MaleCompany:
    male = stretches[0].male
    days: dict[str, set[int]] = {"tank": set(), "pairing": set()}  # by their ordinals
    for span in exposure.spans[female.pk]:
        if span.male == male.pk:
            first, last = max(span.first, since), min(span.last or asof, asof)
            days[span.source].update(range(first.toordinal(), last.toordinal() + 1))
    return MaleCompany(
        male=male,
        stretches=tuple(stretches),
        days=len(days["tank"] | days["pairing"]),
        tank_days=len(days["tank"]),
        pairing_days=len(days["pairing"]),
        is_maturity_unknown=male.pk in exposure.unknown_maturity,
    )
