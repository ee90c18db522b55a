"""Who can be bred now, and what stands against it, in words; writes nothing."""

import datetime
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

from breeding.animals.models import Animal
from breeding.animals.species.profiles import NO_FIGURES, Figures
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
from breeding.planning.season.bodies import Bodies
from breeding.planning.season.fitness import Body, Fitness, fitness
from breeding.planning.season.free_from import free_from
from breeding.planning.season.told.carrying import carries, carries_words
from breeding.program.models import Program
from breeding.program.unchanged.each import kept_of_each
from breeding.program.unchanged.marks import rests_on
from breeding.words.chances import pregnancy
from breeding.words.days import long_day
from breeding.words.language import tell

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
    known = _OnRecord(animals, program, today)
    return {one.pk: known.candidate(one) for one in animals}


class _OnRecord:
    """All that is on record of some animals as of a day, read once, and what is said of each."""

    def __init__(self, animals: Sequence[Animal], program: Program, today: datetime.date) -> None:
        self._program, self._today = program, today
        keys = [one.pk for one in animals]
        females = [one for one in animals if one.sex == Animal.Sex.FEMALE]
        by_key = {one.pk: one for one in animals}
        self._mature, self._could = maturity_of(by_key), could_breed_since(by_key)
        self._seasons = {
            one.female.pk: one for one in seasons(program, asof=today, females=females)
        }
        self._resting = rests(females, program, asof=today)
        births = births_of_all([one.pk for one in females])
        self._last_births = {born.female_id: born.on for born in births}
        self._places = where_are(animals)
        self._bodies = Bodies(keys)
        self._harmed = open_harm(keys, asof=today)
        self._held, self._ill = holds_on(keys, today), ailing(keys, today)
        # Hers her season says.
        self._company = _company() if len(females) < len(animals) else {}

    def candidate(self, one: Animal) -> Candidate:
        key, today, unit = one.pk, self._today, self._program.length_unit
        season = self._seasons.get(key)
        figures, body = self._bodies.figures_of(key), self._body(one)
        fit = fitness(body, figures, today=today, unit=unit)
        since, is_known = self._mature[key]
        could_since = self._could[key].since
        found = Candidate(
            animal=one,
            is_mature=since <= today,
            maturity_known=is_known,
            hindrances=(*_not_free(one, season, self._company), *fit.unfit),
            disc_width_mm=body.disc_width_mm,
            place=str(self._places[key].tank) if key in self._places else "",
            last_birth=self._last_births.get(key),
            rests_until=body.rests_until,
            season=season,
            fitness=fit,
            figures=figures,
            mature_since=since if is_known else None,
            could_since=could_since if could_since > today else None,
            body=body,
            to_settle=to_settle(season) if season else "",
            carries=carries_words(season),
            mates=tuple(_mates(one, season, self._company)),
        )
        rest_days = self._program.rest_days
        return replace(found, free_on=free_from(found, today=today, rest_days=rest_days, unit=unit))

    def _body(self, one: Animal) -> Body:
        """With its marks, its rest and what holds it."""
        key = one.pk
        return replace(
            self._bodies.of(one, self._today),
            open_harm=(
                *(self._harmed[key].forbids if key in self._harmed else ()),
                *(seen.after_name for seen in self._ill.get(key, ())),
            ),
            rests_until=self._resting.get(key),
            holds=[hold for hold in self._held.get(key, ()) if "breed" in hold.forbids],
        )


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
