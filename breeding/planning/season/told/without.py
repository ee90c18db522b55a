"""Who has no mate in the plan, and why: grouped by what stands in the way."""

import datetime
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial

import numpy as np

from breeding.animals import lineage
from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.planning.crosses import mixed_said
from breeding.planning.models import PlannedPairing
from breeding.planning.season.fitness import grown_on
from breeding.planning.season.plan import SeasonPlan
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.told.already import planned_with
from breeding.planning.season.told.carrying import litter_words
from breeding.planning.season.told.instead import none_for_her, none_for_him
from breeding.planning.state.members import pure_species
from breeding.words.days import long_day, short_day
from breeding.words.language import message, tell
from breeding.words.numbers import joined, percent
from breeding.words.sizes import length

GROUPS = {  # in the order in which they stand
    "room": message("No room in this plan"),
    "given": message("The mates that are right are given to others"),
    "planned": message("Planned already"),
    "carrying": message("A litter under way"),
    "together": message("Together now"),
    "settle": message("First to be found out"),
    "held": message("Not fit for now"),
    "resting": message("Resting"),
    "young": message("Too young or too small"),
    "kind": message("Nobody of its kind"),
    "close": message("Too close to all who are free"),
    "wishes": message("Nobody your wishes allow"),
    "away": message("Not here"),
    "left": message("Not among those you chose"),
}


MOST_NAMED = 30
MOST_BUSY = 60  # of so many it is asked who would be right
SETTLED = ("planned", "carrying", "together")  # said of her, with his name


@dataclass(frozen=True)
class Without:
    """One animal, the group of its reason, and how the reason is said after its name."""

    animal: Animal
    group: str
    say: Callable[[], str] = field(repr=False, compare=False)

    @cached_property
    def words(self) -> str:
        """The reason; may be empty. Put into words where somebody reads them."""
        return self.say()


@dataclass(frozen=True)
class Group:
    """Animals without a mate for one reason."""

    heading: str
    rows: tuple[Without, ...]

    @property
    def more(self) -> int:
        """How many are not named."""
        return max(0, len(self.rows) - MOST_NAMED)


@dataclass(frozen=True)
class Choice:
    """Who was offered, and who was chosen to be planned."""

    females: Sequence[Candidate]
    males: Sequence[Candidate]
    hers: Sequence[Candidate]
    his: Sequence[Candidate]


@dataclass(frozen=True)
class Around:
    """The day, and the unit in which lengths are said."""

    today: datetime.date
    unit: str


def without_mate(
    plan: SeasonPlan | None,
    choice: Choice,
    waiting: Collection[PlannedPairing],
    around: Around,
) -> dict[int, Without]:
    """By the animal's key: everybody that could be mated and is not in the plan. Reads nothing."""
    pairs = [(row.female.animal.pk, row.male.animal.pk) for row in plan.rows] if plan else []
    taken = {pk for pair in pairs for pk in pair}
    places = {one.animal.pk: at for at, one in enumerate(choice.hers)}
    places |= {one.animal.pk: at for at, one in enumerate(choice.his)}
    found = {}
    for one in (*choice.females, *choice.males):
        pk = one.animal.pk
        if pk in taken:
            continue
        planned = planned_with(one.animal, waiting, around.today)
        say: Callable[[], str]
        if planned:
            group, say = "planned", partial(joined, list(planned))
        elif pk in places and plan is not None:
            group, say = _of_table(one, places[pk], plan, choice, around)
            if group == "close":
                say = partial(_close_words, one, say, choice, plan, waiting, around)
        else:
            group, say = _of_itself(one, around)
        found[pk] = Without(one.animal, group, say)
    return found


def _close_words(
    one: Candidate,
    say: Callable[[], str],
    choice: Choice,
    plan: SeasonPlan,
    waiting: Collection[PlannedPairing],
    around: Around,
) -> str:
    right = _would_be_right(one, choice, plan, waiting, around)
    return "; ".join([*one.against, say(), *right])


def headings_of(found: Mapping[int, Without]) -> dict[int, str]:
    """Why each is not in the plan, in a few words."""
    return {pk: tell(GROUPS[one.group]) for pk, one in found.items()}


def groups_of(found: Mapping[int, Without]) -> list[Group]:
    """Those of one reason together, females first."""
    groups = []
    for key, heading in GROUPS.items():
        rows = [
            one
            for one in found.values()
            if one.group == key and not (key in SETTLED and one.animal.sex == Animal.Sex.MALE)
        ]
        if rows:
            groups.append(Group(tell(heading), tuple(rows)))
    return groups


def _of_itself(one: Candidate, around: Around) -> tuple[str, Callable[[], str]]:
    """What stands against it whoever the mate."""

    def words() -> str:
        return "; ".join(one.against)

    if one.carries and one.season is not None:
        return "carrying", partial(litter_words, one.season)
    if not one.animal.is_here:
        return "away", words
    if one.mates:
        return "together", partial(_mates_words, one)
    if one.to_settle:
        return "settle", partial(str, one.to_settle)
    if not one.hindrances:
        return "left", str
    body, today = one.body, around.today
    until = body.rests_until
    is_held = bool(body.open_harm) or any(hold.holds_on(today) for hold in body.holds)
    if until is not None and until > today and not is_held:
        return "resting", lambda: tell("until {day}", day=long_day(until))
    least = round(one.figures.figure("breed_least_condition"))
    is_thin = body.condition is not None and body.condition < least
    if is_held or is_thin:
        return "held", words
    return "young", lambda: "; ".join(_to_grow(one, around)) or words()


def _mates_words(one: Candidate) -> str:
    mates = tell("with {names}", names=joined(list(one.mates)))
    return f"{mates}; {one.to_settle}" if one.to_settle else mates


def _to_grow(one: Candidate, around: Around) -> Iterator[str]:
    """What it lacks in age and width, in short."""
    body = one.body
    if (
        body.born_on is not None
        and (on := grown_on(body.born_on, body, one.figures)) > around.today
    ):
        yield tell("old enough from {day}", day=long_day(on))
    sex = "male" if one.animal.sex == Animal.Sex.MALE else "female"
    least = one.figures.figure(f"breed_{sex}_mm")
    if body.disc_width_mm is not None and body.disc_width_mm < least:
        yield tell(
            "{width} wide, fit to breed from {least}",
            width=length(body.disc_width_mm, around.unit),
            least=length(least, around.unit),
        )


def _of_table(
    one: Candidate, at: int, plan: SeasonPlan, choice: Choice, around: Around
) -> tuple[str, Callable[[], str]]:
    """What stands in the way of one that was to be planned."""
    tables = plan.tables
    is_female = one.animal.sex == Animal.Sex.FEMALE
    allowed = tables.allowed[at] if is_female else tables.allowed[:, at]
    if allowed.any():
        wishes = tables.asked.wishes
        rooms = [one for one in (wishes.litters, wishes.most_pairings) if one is not None]
        is_full = bool(rooms) and len(plan.plan.pairs) >= min(rooms)
        return "room" if is_full else "given", partial(_left_over, one, at, plan, choice, around)
    asked = tables.asked
    across, close = asked.across_species, asked.too_close
    if not is_female:
        across, close = across.T, close.T
    own = ~across[at] if asked.wishes.keep_species else np.ones(len(across[at]), np.bool_)
    if not own.any():
        return "kind", str
    say = partial(none_for_her if is_female else none_for_him, tables, at)
    return ("close" if close[at][own].all() else "wishes"), say


def _would_be_right(
    one: Candidate,
    choice: Choice,
    plan: SeasonPlan,
    waiting: Collection[PlannedPairing],
    around: Around,
) -> Iterator[str]:
    """Whom it could have, were he or she free: the one of lowest F that the wishes allow."""
    wishes, known = plan.tables.asked.wishes, lineage.current()
    is_female = one.animal.sex == Animal.Sex.FEMALE
    chosen = {other.animal.pk for other in (*choice.hers, *choice.his)}
    mates = choice.males if is_female else choice.females
    others = [other for other in mates if other.animal.pk not in chosen]
    if len(others) > MOST_BUSY:
        return
    right = []
    for other in others:
        said = [
            tell("is planned already {said}", said=words)
            for words in planned_with(other.animal, waiting, around.today)
        ]
        if not (why := [*said, *other.against]):
            continue
        if wishes.keep_species and _kind(other, known) != _kind(one, known):
            continue
        inbreeding = float(known.pedigree.kinship(one.animal.pk, other.animal.pk))
        if not wishes.is_too_close(inbreeding):
            pair = (one.animal, other.animal) if is_female else (other.animal, one.animal)
            mixed = mixed_said(*pair, known.shares)
            right.append((bool(mixed), inbreeding, other.animal.name, why[0], mixed))
    if right:
        _, inbreeding, name, reason, mixed = min(right)
        yield tell(
            "{animal} would be right, F {inbreeding}, but {reason}",
            animal=name,
            inbreeding=percent(inbreeding),
            reason=reason,
        )
        if mixed:
            yield mixed


def _kind(one: Candidate, known: Lineage) -> int:
    return pure_species(known.shares.get(one.animal.pk, {})) or 0


def _left_over(one: Candidate, at: int, plan: SeasonPlan, choice: Choice, around: Around) -> str:
    """There are mates that are right: whom it could have."""
    tables = plan.tables
    is_female = one.animal.sex == Animal.Sex.FEMALE
    names = tables.asked.males if is_female else tables.asked.females
    line = at if is_female else (slice(None), at)
    other = int(np.where(tables.allowed[line], tables.prices.cost[line], np.inf).argmin())
    pair = (at, other) if is_female else (other, at)
    words = tell(
        "could go with {animal}, F {inbreeding}",
        animal=names[other],
        inbreeding=percent(tables.inbreeding(pair)),
    )
    mate = (choice.his if is_female else choice.hers)[other]
    free = [one.free_on, mate.free_on]
    if None in free:
        words = tell("{words}; when both are free, nobody knows", words=words)
    elif (on := max(day for day in free if day is not None)) > around.today:
        words = tell("{words}, from {day} on", words=words, day=short_day(on, around.today))
    return words
