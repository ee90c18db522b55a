"""The state of each female's season, reckoned from the facts on record as of a day."""

import datetime
import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from breeding.animals.models import Animal
from breeding.animals.species.profiles import Figures
from breeding.feeding.appetite import Appetite
from breeding.gestation import Estimate, Profile
from breeding.gestation import Scan as ScanFact
from breeding.gestation.actions import Action, Rules, actions
from breeding.gestation.estimate import sentences
from breeding.gestation.known import known_estimate, known_outlook
from breeding.gestation.learning import possible_sires
from breeding.gestation.profile import MATING_SEEN
from breeding.gestation.reckoned import Outlook
from breeding.pairings.models import Outcome, Scan, Sighting, SignKind
from breeding.pairings.season.exposure import Exposure, Stretch, days_within, exposure_of, later
from breeding.pairings.season.facts import Ask, Facts, females_here, gather
from breeding.pairings.season.harm import not_healed
from breeding.pairings.season.past.learned import Learned
from breeding.pairings.season.past.lessons import (
    Closed,
    closed_of,
    every_closed,
    gather_with_lessons,
)
from breeding.pairings.season.renewed import MOVED, RENEWED, question_of
from breeding.pairings.season.seen import days_seen, seen_on
from breeding.pairings.season.testimony import Testimony, hear
from breeding.pairings.season.whereabouts import Whereabouts
from breeding.program.frame.memory import only_reads
from breeding.program.models import Program
from breeding.program.parts import alike, in_parts
from breeding.program.unchanged.each import kept_of_each
from breeding.program.unchanged.marks import rests_on
from breeding.words.chances import belief, chance, pregnancy
from breeding.words.days import long_day
from breeding.words.language import tell

DAY = datetime.timedelta(days=1)
PREMATURE_SDS = 4.0  # a birth so many sd too early was carried for less than a whole term

__all__ = ["DAY", "SeasonReading", "Stretch", "season_of", "seasons", "seen_on"]


@dataclass(frozen=True)
class SeasonReading:
    """One female since her last birth or other outcome: the facts, and what follows from them."""

    female: Animal
    asof: datetime.date
    profile_label: str
    profile: Profile  # with what the program's own births have taught
    prior: Profile  # as it stands in the figures of her species
    rules: Rules
    kinds: Mapping[str, SignKind] = field(repr=False)
    births_here: int = 0  # measured gestations that the profile rests on beside the prior
    last_outcome: Outcome | None = None
    company: tuple[Stretch, ...] = ()
    company_before: tuple[Stretch, ...] = ()  # before the last outcome, while sperm may be kept
    sperm_kept_days: float = 0
    sightings: tuple[Sighting, ...] = ()
    scans: tuple[Scan, ...] = ()
    outcomes: tuple[Outcome, ...] = ()
    contradicted: Outcome | None = None  # "was not pregnant", wrong by the last birth
    looked: tuple[datetime.date, ...] = ()
    whereabouts: Whereabouts = field(default=Whereabouts(), repr=False)
    on_loan: tuple[datetime.date, ...] = ()  # of these days nobody knows her company
    appetite: Appetite = field(default=Appetite(), repr=False)

    @cached_property
    def since(self) -> datetime.date | None:
        """The first day of this season that says anything."""
        days = [stretch.first for stretch in self.company]
        days += days_seen(self.sightings)
        days += [scan.on for scan in self.scans]
        return min(days, default=None)

    @cached_property
    def exposed(self) -> list[datetime.date]:
        """Days in company with a mature male, by records and by signs that name one."""
        spans = [(stretch.first, stretch.until(self.asof)) for stretch in self.company]
        named = set[datetime.date]().union(*self.testimony.company.values())
        return days_within([*spans, *((on, on) for on in named)])

    @cached_property
    def testimony(self) -> Testimony:
        """What of her signs counts, and what the records contradict."""
        return hear(
            self.female,
            self.sightings,
            self.company + self.company_before,
            unknown=set(self.on_loan),
            whereabouts=self.whereabouts,
            profile=self.profile,
        )

    @cached_property
    def unknown(self) -> list[datetime.date]:
        """Days of which nobody knows her company: on loan, and before a scan nothing explains."""
        scan = self.unexplained_scan
        if scan is None:
            return list(self.on_loan)
        reach = self.profile.gestation_mean_days + 2 * self.profile.gestation_sd_days
        return sorted({*self.on_loan, *_days(scan.on - DAY * round(reach), scan.on - DAY)})

    @cached_property
    def unexplained_scan(self) -> Scan | None:
        """The first scan that saw pups though no mating day on record could show on it."""
        mated = [sign.on for sign in self.testimony.signs if sign.kind == MATING_SEEN]
        first = min([*self.exposed, *self.on_loan, *mated], default=datetime.date.max)
        shows = DAY * round(self.profile.scan_detectable_days)
        seen = [scan for scan in self.scans if scan.positive and scan.on - shows < first]
        return seen[0] if seen else None

    @property
    def earliest_window(self) -> datetime.date:
        """No window of hers opens before this day: so soon after the first possible mating few
        gestations are over. As long as `estimate` is not reckoned, this is quick.
        """
        mated = [sign.on for sign in self.testimony.signs if sign.kind == MATING_SEEN]
        first = min([*self.exposed, *self.unknown, *mated], default=datetime.date.max)
        return earliest_window_of(self.profile, first)

    @property
    def missing_words(self) -> str:
        """What a scan that nothing explains says of her; empty without one."""
        if self.unexplained_scan is None:
            return ""
        is_home_bred = self.female.origin == Animal.Origin.BORN_HERE
        if is_home_bred or self.last_outcome is not None:
            return tell("company missing")
        return tell("pregnant on arrival or company missing")

    @property
    def together_since(self) -> datetime.date | None:
        """Since when she has been with a male without a break; None when she is apart."""
        going_on = [stretch.first for stretch in self.company if stretch.last is None]
        return min(going_on, default=None)

    @property
    def with_now(self) -> list[Stretch]:
        return [stretch for stretch in self.company if stretch.last is None]

    @property
    def period_over_on(self) -> datetime.date | None:
        """The day on which the keeper meant to end the company she is in."""
        pairings = [stretch.pairing for stretch in self.with_now if stretch.pairing is not None]
        planned = [one.separation_planned_on for one in pairings if one.separation_planned_on]
        return min(planned, default=None)

    @cached_property
    def estimate(self) -> Estimate:
        return self.reckon(self.asof)

    def reckon(self, asof: datetime.date, *, birth_on: datetime.date | None = None) -> Estimate:
        """The estimate as of a day, from everything on record now for the days up to it.

        birth_on: she gave birth on that day, which says more of the mating than "not yet" did.
        """
        return known_estimate(**self._evidence, asof=asof, birth_on=birth_on)

    @cached_property
    def outlook(self) -> Outlook:
        """Of `estimate` what is asked first: for an act, which needs no more of it."""
        if only_reads() or "estimate" in self.__dict__:
            est = self.estimate
            return Outlook(est.chance, est.announced_chance, est.announced)
        return known_outlook(**self._evidence, asof=self.asof, birth_on=None)

    @property
    def _evidence(self) -> dict[str, Any]:
        return {
            "exposed": self.exposed,
            "unknown": self.unknown,
            "looked": self.looked,
            "signs": self.testimony.signs,
            "scans": [ScanFact(scan.on, scan.positive) for scan in self.scans],
            "profile": self.profile,
            "last_birth": self.last_outcome.on if self.last_outcome else None,
        }

    @cached_property
    def actions(self) -> tuple[Action, ...]:
        return actions(
            self.estimate,
            together_since=self.together_since,
            injuries=not_healed(self.sightings),
            off_food=self.off_food,
            period_over_on=self.period_over_on,
            rules=self.rules,
            labels=self.labels,
            names=self.males,
        )

    @property
    def off_food(self) -> tuple[datetime.date, ...]:
        """The days on which she refused food since she last took any, once that is an alarm."""
        if not self.appetite.is_off_food:
            return ()
        return tuple(sorted({one.on for one in self.appetite.refusals}))

    @property
    def labels(self) -> dict[str, str]:
        return {key: kind.said_within for key, kind in self.kinds.items()} | {
            "copulation": tell("mating seen")
        }

    @cached_property
    def males(self) -> dict[int, str]:
        every = self.company + self.company_before
        names = {stretch.male.pk: stretch.male.name for stretch in every}
        for sighting in self.sightings:
            if sighting.male is not None:
                names[sighting.male.pk] = sighting.male.name
        return names

    @property
    def reasons(self) -> list[str]:
        return sentences(self.estimate, long_day, labels=self.labels, names=self.males)

    @cached_property
    def sires(self) -> dict[int, float]:
        """Each male that may be the sire with his share, from company and named signs."""
        return self._sires(self.estimate)

    def sires_of_birth(self, on: datetime.date) -> dict[int, float]:
        """The same once she has given birth on a day; that day says which matings can be meant.

        Not where the birth is far too early for any of them: a premature birth says nothing of
        the mating day.
        """
        plain = self.reckon(min(on, self.asof))
        profile = self.profile
        shortest = profile.gestation_mean_days - PREMATURE_SDS * profile.gestation_sd_days
        possible, _ = plain.mating_distribution
        if possible and (on - possible[0]).days < shortest:
            return self._sires(plain)
        return self._sires(self.reckon(min(on, self.asof), birth_on=on))

    def _sires(self, found: Estimate) -> dict[int, float]:
        company: dict[int, list[datetime.date]] = {}
        for stretch in self.company:
            company.setdefault(stretch.male.pk, []).extend(stretch.days(self.asof))
        if self.last_outcome:
            for stretch in self.company_before:
                days = stretch.days(self.last_outcome.on - DAY)
                company.setdefault(stretch.male.pk, []).extend(days)
        for male, named in self.testimony.company.items():
            company.setdefault(male, []).extend(named)
        return possible_sires(found, company, sperm_kept_days=self.sperm_kept_days)

    @property
    def is_live(self) -> bool:
        """Whether there is anything to follow: company now, or a chance still worth a line."""
        return bool(self.together_since) or self.estimate.chance >= 0.01 or self.is_overdue

    @property
    def is_overdue(self) -> bool:
        return any(action.kind == "overdue" for action in self.actions)

    @property
    def state_words(self) -> str:
        """A few words beside her name: the word for the chance, and the chance."""
        said = pregnancy(self.estimate.chance)
        if self.is_overdue:
            return tell("past her window, {state}", state=said)
        if self.estimate.chance >= self.rules.worth_settling_chance:
            return f"{said}; {self.missing_words}" if self.missing_words else said
        if self.pups_seen:
            return tell(
                "pups seen, not explained by the records ({chance})",
                chance=chance(self.estimate.chance),
            )
        return tell("with a male, {state}", state=said) if self.together_since else said

    @property
    def belief_word(self) -> str:
        """The word for the chance that stands beside it."""
        if self.pups_seen and self.estimate.chance < self.rules.worth_settling_chance:
            return tell("pups seen, not explained by the records")
        return belief(self.estimate.chance)

    @property
    def pups_seen(self) -> bool:
        """Whether the latest scan of this season saw pups."""
        return bool(self.scans) and self.scans[-1].positive


def earliest_window_of(profile: Profile, first: datetime.date) -> datetime.date:
    """Before which day no window opens of one that was first mated on a day, or later."""
    few = profile.gestation_mean_days - 2 * profile.gestation_spread_days
    return later(first, math.floor(few) - 1)


def _days(first: datetime.date, last: datetime.date) -> list[datetime.date]:
    return [first + DAY * number for number in range((last - first).days + 1)]


def rules_of(program: Program, figures: Figures) -> Rules:
    return Rules(
        separation_lead_days=program.separation_lead_days,
        nursery_lead_days=program.nursery_lead_days,
        bred_chance=program.bred_chance,
        overdue_lateness=program.overdue_lateness,
        severity_limit=program.separate_at_severity,
        worth_planning_chance=program.planning_chance,
        worth_settling_chance=min(0.2, program.planning_chance),
        scan_detectable_days=round(figures.get("scan_detectable_days", 45)),
    )


def seasons(
    program: Program,
    *,
    asof: datetime.date,
    females: Iterable[Animal] | None = None,
    until: Outcome | None = None,
    birth_on: datetime.date | None = None,
) -> list[SeasonReading]:
    """The season of each female that has one, by name; every fact read in a handful of queries.

    Without `females`: all that are here. `until` reckons the season that this outcome closed,
    as it was on that day; `birth_on` one that a birth on a day is about to close.
    """
    here = females_here(asof) if females is None else list(females)
    if until is None and birth_on is None:
        found = _going_on(program, asof, here)
    else:
        asks = [Ask(female, asof, until, birth_on) for female in here]
        found = _read_and_reckoned(program, asks)
    if females is not None:
        return found
    return [one for one in found if one.since is not None or one.contradicted]


def _read_and_reckoned(program: Program, asks: Sequence[Ask]) -> list[SeasonReading]:
    if not asks:
        return []
    facts, closed = gather_with_lessons(asks)
    return reckoned(program, facts, asks, closed)


def _going_on(
    program: Program, asof: datetime.date, females: Iterable[Animal]
) -> list[SeasonReading]:
    """The seasons that no outcome has closed: those of whom nothing was written are kept."""
    by_key = {one.pk: one for one in females}

    def make(keys: Collection[int]) -> dict[int, SeasonReading]:
        rests_on(Program)
        read = _read_and_reckoned(program, [Ask(by_key[key], asof) for key in keys])
        return {one.female.pk: one for one in read}

    found = kept_of_each(question_of(asof), by_key, make, {**RENEWED, **MOVED})
    return [found[key] for key in by_key]


def season_of(
    female: Animal,
    program: Program,
    *,
    asof: datetime.date,
    until: Outcome | None = None,
    birth_on: datetime.date | None = None,
) -> SeasonReading:
    """One female's season."""
    return seasons(program, asof=asof, females=[female], until=until, birth_on=birth_on)[0]


def outlooks_each(program: Program, asked: Mapping[Animal, datetime.date]) -> dict[int, Outlook]:
    """The outlook of each of these females as of a day of her own, by key; in few queries."""
    if only_reads():  # a page asks of one, whose season it may have at hand
        return {one.pk: season_of(one, program, asof=on).outlook for one, on in asked.items()}
    closed = every_closed()
    asks = [Ask(one, on, eats=False) for one, on in asked.items()]
    return {
        one.female.pk: one.outlook
        for part in in_parts(asks)
        for one in reckoned(program, gather(part), part, closed)
    }


def reckoned(
    program: Program, facts: Facts, asks: Sequence[Ask], closed: Closed | None = None
) -> list[SeasonReading]:
    """These seasons, in the order asked, from facts that have been gathered for them.

    closed: every closed season, where it is known already; else those in the facts.
    """
    closed = closed_of(facts) if closed is None else closed
    exposure = exposure_of(facts.together)
    cards = {ask.female.pk: facts.figures_of(ask.female.pk) for ask in asks}
    until = {ask: closed.newest(_learned_until(ask)) for ask in asks}
    learned = {
        day: closed.learned([cards[ask.female.pk] for ask in some], until=day)
        for day, some in alike(until)
    }
    return [
        season_from(program, facts, exposure, learned[until[ask]][cards[ask.female.pk].key], ask)
        for ask in asks
    ]


def _learned_until(ask: Ask) -> datetime.date:
    """Up to when births teach: the one that closed the season says nothing of itself."""
    return min(ask.asof, ask.until.on - DAY) if ask.until else ask.asof


def season_from(
    program: Program, facts: Facts, exposure: Exposure, learned: Learned, ask: Ask
) -> SeasonReading:
    """The season asked for, from facts that were gathered and what was learned up to it."""
    female, figures = ask.female.pk, facts.figures_of(ask.female.pk)
    outcomes = facts.past.outcomes_before(ask)
    last = outcomes[-1] if outcomes else None
    start = last.on if last else datetime.date.min
    kept_days = figures.get("sperm_kept_days", 0)
    before: tuple[Stretch, ...] = ()
    if last and kept_days > 0:
        kept_since = start - DAY * math.floor(kept_days)
        before = exposure.stretches(female, since=kept_since, asof=start - DAY)
    return SeasonReading(
        female=ask.female,
        asof=ask.asof,
        profile_label=figures.label,
        profile=learned.profile,
        prior=learned.prior,
        births_here=learned.births,
        rules=rules_of(program, figures),
        kinds=facts.kinds,
        last_outcome=last,
        company=exposure.stretches(female, since=start, asof=ask.asof),
        company_before=before,
        sperm_kept_days=kept_days,
        sightings=tuple(facts.sightings_of(ask)),
        scans=tuple(one for one in facts.scans.get(female, ()) if start < one.on <= ask.asof),
        outcomes=tuple(outcomes),
        contradicted=facts.past.contradicted(female, outcomes),
        looked=facts.looked_at(female, start, ask.asof),
        whereabouts=facts.whereabouts,
        on_loan=tuple(exposure.days_on_loan(female, since=start, until=ask.asof)),
        appetite=facts.appetite_of(ask),
    )
