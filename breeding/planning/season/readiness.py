"""Who can be bred now, and what stands against it, in words; writes nothing."""

import datetime
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from django.db.models import F

from breeding.animals import lineage
from breeding.animals.models import Animal, Measurement
from breeding.animals.species.profiles import NO_FIGURES, Figures, all_profiles
from breeding.health.apart.renewed import quarantine_around
from breeding.health.holds import holds_on
from breeding.health.illness.standing import ailing
from breeding.housing.queries import where_are
from breeding.pairings.care.healing import open_harm
from breeding.pairings.care.rest import rests
from breeding.pairings.company.known import could_breed_since
from breeding.pairings.models import Pairing
from breeding.pairings.outcomes import births_of_all
from breeding.pairings.season.exposure import maturity_of
from breeding.pairings.season.reading import SeasonReading, seasons
from breeding.pairings.season.renewed import MOVED, RENEWED
from breeding.planning.season.fitness import (
    Body,
    Fitness,
    Width,
    fitness,
    too_wide,
    wider_words,
)
from breeding.planning.season.free_from import free_from
from breeding.planning.season.told.carrying import carries, carries_words
from breeding.program.models import Program
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import read_of
from breeding.program.unchanged.each import kept_of_each
from breeding.program.unchanged.marks import rests_on
from breeding.words.chances import pregnancy
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import joined

PAST_WINDOW = ("overdue", "long_without_birth")


@dataclass(frozen=True)
class Candidate:
    """One animal that could be paired, with what stands against it today.

    is_mature: it could be mated, by the early end of what is known, so that no mating is
    overlooked. fitness: whether it is fit to breed, which asks more. hindrances: all that stands
    against pairing it now, of its fitness and beside it; weighty ones first, each a sentence's
    part: "is with Deneb".
    """

    animal: Animal
    is_mature: bool
    maturity_known: bool
    hindrances: tuple[str, ...]
    disc_width_mm: int | None = None
    place: str = ""
    last_birth: datetime.date | None = None
    rests_until: datetime.date | None = None
    season: SeasonReading | None = field(default=None, repr=False)
    fitness: Fitness = field(default=Fitness())
    figures: Figures = field(default=NO_FIGURES, repr=False)
    mature_since: datetime.date | None = None
    could_since: datetime.date | None = None
    body: Body = field(default=Body(""))
    free_on: datetime.date | None = None  # free and fit from then on; None: nobody knows
    to_settle: str = ""  # what is to be found out of her before she is paired, after her name
    carries: str = ""  # that she probably carries a litter already, after her name
    mates: tuple[str, ...] = ()  # names of those it is with now, by its pairings

    @property
    def is_ready(self) -> bool:
        return self.is_mature and not self.hindrances

    @property
    def against(self) -> tuple[str, ...]:
        """All that stands against pairing it today, each after its name: a litter under way and
        what is to be settled in their own words."""
        said = self.hindrances
        if self.season is not None and (of_her := self.carries or self.to_settle):
            usual = _pregnancy_words(self.season)
            said = (of_her, *(one for one in said if one != usual))
        return said

    @property
    def could_be_mated_words(self) -> str:
        """The early figure, by which kin in one tank are parted."""
        if not self.maturity_known:
            return tell("nobody knows: no age and no size on record, so it counts as possible")
        if self.could_since is None:
            return tell("yes, by the early end of age or size")
        return tell("not before {day}", day=long_day(self.could_since))


@dataclass(frozen=True)
class Bare:
    """One animal by its age, width and condition alone: without marks, rest and holds."""

    animal: Animal
    body: Body
    figures: Figures = field(repr=False)

    @property
    def disc_width_mm(self) -> int | None:
        return self.body.disc_width_mm


def candidates(
    animals: Sequence[Animal], program: Program, *, today: datetime.date
) -> dict[int, Candidate]:
    """By the animal's key. The number of queries does not grow with the animals.

    In a request that only reads, only those are reckoned again of whom something was written: what
    is seen, measured, ticked off or fed is about some of them, and so is who is moved, goes or is
    back, by their seasons and their quarantine; everything else is about all.
    """
    by_key = {one.pk: one for one in animals}

    def make(keys: Collection[int]) -> dict[int, Candidate]:
        rests_on(Animal, Program)
        return _candidates([by_key[key] for key in keys], program, today)

    question = ("who can be bred", today, program.length_unit)
    growing, parts = {**RENEWED, **MOVED}, quarantine_around(today)
    found = kept_of_each(question, by_key, make, growing, parts)
    return {pk: _told_of(found[pk], one) for pk, one in by_key.items()}


def _told_of(found: Candidate, one: Animal) -> Candidate:
    """With the record as whoever asks has read it."""
    return found if found.animal is one else replace(found, animal=one)


def _candidates(
    animals: Sequence[Animal], program: Program, today: datetime.date
) -> dict[int, Candidate]:
    keys = [one.pk for one in animals]
    females = [one for one in animals if one.sex == Animal.Sex.FEMALE]
    by_key = {one.pk: one for one in animals}
    mature, could = maturity_of(by_key), could_breed_since(by_key)
    her_season = {one.female.pk: one for one in seasons(program, asof=today, females=females)}
    resting = rests(females, program, asof=today)
    last_births = {born.female_id: born.on for born in births_of_all([one.pk for one in females])}
    places = where_are(animals)
    widths, conditions = _measured(keys)
    harmed = open_harm(keys, asof=today)
    held, ill = holds_on(keys, today), ailing(keys, today)
    company = _company() if len(females) < len(animals) else {}  # hers her season says
    profiles, shares = all_profiles(), lineage.current().shares
    found = {}
    for one in animals:
        season = her_season.get(one.pk)
        figures = profiles.of(shares.get(one.pk, {}))
        since, is_known = mature[one.pk]
        width, outgrown = _still_so(widths.get(one.pk), one, figures, today)
        condition, condition_on = conditions.get(one.pk, (None, None))
        body = Body(
            one.sex,
            one.born_on,
            width.mm if width else None,
            condition,
            condition_on,
            (
                *(harmed[one.pk].forbids if one.pk in harmed else ()),
                *(seen.after_name for seen in ill.get(one.pk, ())),
            ),
            resting.get(one.pk),
            [hold for hold in held.get(one.pk, ()) if "breed" in hold.forbids],
            outgrown,
        )
        fit = fitness(body, figures, today=today, unit=program.length_unit)
        candidate = Candidate(
            one,
            since <= today,
            is_known,
            (*_not_free(one, season, company), *fit.unfit),
            body.disc_width_mm,
            str(places[one.pk].tank) if one.pk in places else "",
            last_births.get(one.pk),
            body.rests_until,
            season,
            fit,
            figures,
            since if is_known else None,
            could[one.pk].since if could[one.pk].since > today else None,
            body,
            to_settle=to_settle(season) if season else "",
            carries=carries_words(season),
            mates=tuple(_mates(one, season, company)),
        )
        free_on = free_from(
            candidate, today=today, rest_days=program.rest_days, unit=program.length_unit
        )
        found[one.pk] = replace(candidate, free_on=free_on)
    return found


def _measured(
    keys: Collection[int],
) -> tuple[dict[int, Width], dict[int, tuple[int, datetime.date | None]]]:
    """The latest width and condition of each; one of an unknown day counts only alone."""
    widths: dict[int, Width] = {}
    conditions: dict[int, tuple[int, datetime.date | None]] = {}
    in_order = (F("on").asc(nulls_first=True), "pk")
    for row in read_of(Measurement.objects.order_by(*in_order), "animal", keys):
        if row.disc_width_mm:
            widths[row.animal_id] = Width(row.disc_width_mm, row.on)
        if row.condition:
            conditions[row.animal_id] = row.condition, row.on
    return widths, conditions


def _still_so(
    width: Width | None, one: Animal, figures: Figures, today: datetime.date
) -> tuple[Width | None, Width | None]:
    """Its width, or else the one that it has outgrown."""
    if width and width.is_outgrown(one.sex, figures, today):
        return None, width
    return width, None


def _company() -> dict[int, list[str]]:
    """With whom males are together by their pairings."""
    found: dict[int, list[str]] = {}
    together = Pairing.objects.filter(withdrawn_at__isnull=True, separated_on__isnull=True)
    for pairing in together.select_related("female"):
        found.setdefault(pairing.male_id, []).append(pairing.female.name)
    return found


def _not_free(
    one: Animal, season: SeasonReading | None, company: dict[int, list[str]]
) -> list[str]:
    """What stands against pairing it now beside its fitness: away, together, pregnant."""
    said: list[str] = []
    if not one.is_here:
        is_lent = one.state == Animal.State.ON_LOAN
        said.append(tell("is on loan") if is_lent else str(one.get_state_display()))
    if mates := _mates(one, season, company):
        said.append(tell("is with {names}", names=", ".join(mates)))
    if season is not None and season.estimate.chance >= season.rules.worth_settling_chance:
        said.append(_pregnancy_words(season))
    return said


def _mates(one: Animal, season: SeasonReading | None, company: dict[int, list[str]]) -> list[str]:
    if season is not None:
        return [stretch.male.name for stretch in season.with_now]
    return company.get(one.pk, []) if one.sex == Animal.Sex.MALE else []


def _pregnancy_words(season: SeasonReading) -> str:
    return tell("is {pregnancy}", pregnancy=pregnancy(season.estimate.chance))


def to_settle(season: SeasonReading) -> str:
    """Whether she is pregnant, where that is open: her window has passed and nobody wrote down how
    it ended, or she may be and nobody knows. Empty where it is not, and where she probably is."""
    estimate = season.estimate
    if carries(season):
        return ""
    is_late = any(one.kind in PAST_WINDOW for one in season.actions)
    if is_late and estimate.announced is not None:
        return tell(
            "was due by {day}, and how that ended is not on record: scan her, or look for pups, "
            "first",
            day=long_day(estimate.announced.p95),
        )
    rules = season.rules
    if estimate.chance >= rules.worth_settling_chance:
        return tell(
            "is {pregnancy}: scan her, or watch her, first", pregnancy=pregnancy(estimate.chance)
        )
    return ""


def doubts_of_pair(
    female: Candidate | Bare, male: Candidate | Bare, *, on: datetime.date, unit: str
) -> Iterator[Doubt]:
    """Why one of the two is not fit to breed on a day, or he too large for her: with a reason."""
    for one in (female, male):
        unfit = fitness(one.body, one.figures, today=on, unit=unit).unfit
        if unfit:
            words = tell(
                "Not fit to breed: {animal} {reasons}.",
                animal=one.animal.name,
                reasons=joined(list(unfit)),
            )
            yield Doubt(words, needs_reason=True)
    his, hers = male.disc_width_mm, female.disc_width_mm
    if his and hers and too_wide(his, hers, female.figures):
        names = male.animal.name, his, female.animal.name, hers
        yield Doubt(wider_words(*names, female.figures, unit) + ".", needs_reason=True)


class PairsInTurn:
    """`doubts_of_pair` of any two of these on any days, without marks, rest and holds; all that was
    measured of them is read once."""

    def __init__(self, animals: Mapping[int, Animal], program: Program) -> None:
        self._unit = program.length_unit
        profiles, shares = all_profiles(), lineage.current().shares
        self._widths, self._conditions = _measured(animals)
        self._figures = {key: profiles.of(shares.get(key, {})) for key in animals}

    def __call__(self, female: Animal, male: Animal, on: datetime.date) -> list[Doubt]:
        hers, his = self._bare(female, on), self._bare(male, on)
        return list(doubts_of_pair(hers, his, on=on, unit=self._unit))

    def _bare(self, one: Animal, on: datetime.date) -> Bare:
        figures = self._figures[one.pk]
        width, outgrown = _still_so(self._widths.get(one.pk), one, figures, on)
        mm = width.mm if width else None
        condition, condition_on = self._conditions.get(one.pk, (None, None))
        body = Body(one.sex, one.born_on, mm, condition, condition_on, outgrown=outgrown)
        return Bare(one, body, figures)
