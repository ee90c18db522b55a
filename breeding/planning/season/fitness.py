"""Whether an animal could be mated, and whether it is fit to breed: two figures, with words; pure.

The first is early, so that no mating is overlooked; the second asks more, so that nobody is bred
who should not be: age and width, condition, open wounds and refused food, rest. What is not on
record is said, and neither stands for her nor against her.
"""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from breeding.animals.species.profiles import Figures
from breeding.health.hold import Hold
from breeding.program.kinds import kind_words
from breeding.words.days import long_day
from breeding.words.language import message, tell
from breeding.words.numbers import joined, percent
from breeding.words.sizes import length

Date = datetime.date
OUTGROWN_AFTER_DAYS = (
    365  # a young animal measured longer ago has grown since, nobody knows how much
)
TOO_YOUNG = {
    "female": message(
        "is too young: by the species' figures a female is fit to breed from {days} days on, "
        "that is {day}"
    ),
    "male": message(
        "is too young: by the species' figures a male is fit to breed from {days} days on, "
        "that is {day}"
    ),
}
TOO_SMALL = {
    "female": message(
        "is {width} wide: by the species' figures a female is fit to breed from {least}"
    ),
    "male": message("is {width} wide: by the species' figures a male is fit to breed from {least}"),
}


@dataclass(frozen=True)
class Width:
    """A disc width as it was last measured. on: None where nobody knows the day."""

    mm: int
    on: Date | None

    def is_outgrown(self, sex: str, figures: Figures, today: Date) -> bool:
        """Below breeding size, and measured too long ago to say how wide the animal is today."""
        if self.on is None or self.mm >= figures.figure(f"breed_{_word_of(sex)}_mm"):
            return False
        return (today - self.on).days > OUTGROWN_AFTER_DAYS


@dataclass(frozen=True)
class Body:
    """What is on record of one animal that fitness asks for. born_on: the first possible day."""

    sex: str
    born_on: Date | None = None
    disc_width_mm: int | None = None
    condition: int | None = None  # 1 to 5
    condition_on: Date | None = None  # when that was seen; None: nobody knows
    open_harm: Sequence[str] = ()  # each a part of a sentence after the name
    rests_until: Date | None = None
    holds: Sequence[Hold] = ()  # those that forbid breeding
    outgrown: Width | None = None  # measured when young; not its width today


@dataclass(frozen=True)
class Fitness:
    """Fit to breed: yes (True), no (False), or not known (None); each part follows the name.

    unfit: what speaks against it, weighty ones first. unknown: what nobody wrote down.
    """

    unfit: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()

    @property
    def is_fit(self) -> bool | None:
        if self.unfit:
            return False
        return None if self.unknown else True

    @property
    def words(self) -> str:
        """For a page: "no: is 29.5 cm wide, and a female is fit to breed from 35.0 cm"."""
        if self.unfit:
            return tell("no: {reasons}", reasons=joined(list(self.unfit)))
        if self.unknown:
            return tell("as far as is known; {unknown}", unknown=joined(list(self.unknown)))
        return tell("yes, by age, width, condition, health and rest")


def _thin(body: Body) -> str:
    if body.condition_on is None:
        return tell("is thin (condition {condition} of 5)", condition=body.condition)
    return tell(
        "is thin (condition {condition} of 5 on {day})",
        condition=body.condition,
        day=long_day(body.condition_on),
    )


def fitness(body: Body, figures: Figures, *, today: Date, unit: str) -> Fitness:
    """Judged by every figure there is: an old female that is small is not fit, nor a large young
    one. `unit`: of lengths, in words."""
    unfit, unknown = list(body.open_harm), []
    unfit += [one.in_words for one in body.holds if one.holds_on(today)]
    if body.rests_until is not None and body.rests_until > today:
        unfit.append(tell("rests until {day} after her last birth", day=long_day(body.rests_until)))
    least = round(figures.figure("breed_least_condition"))
    if body.condition is not None and body.condition < least:
        unfit.append(_thin(body))
    sex = _word_of(body.sex)
    if body.born_on is None:
        unknown.append(tell("its age is not on record"))
    elif (grown := grown_on(body.born_on, body, figures)) > today:
        unfit.append(tell(TOO_YOUNG[sex], days=_days_from(body, figures, sex), day=long_day(grown)))
    least_mm = figures.figure(f"breed_{sex}_mm")
    if body.disc_width_mm is None:
        unknown.append(_width_unknown(body, unit))
    elif body.disc_width_mm < least_mm:
        unfit.append(
            tell(
                TOO_SMALL[sex],
                width=length(body.disc_width_mm, unit),
                least=length(least_mm, unit),
            )
        )
    return Fitness(tuple(unfit), tuple(unknown))


def _word_of(sex: str) -> str:
    return "male" if sex == "M" else "female"


def _width_unknown(body: Body, unit: str) -> str:
    size = kind_words().size
    if body.outgrown is None or body.outgrown.on is None:
        return tell("its {size} is not on record", size=size)
    return tell(
        "its {size} was last measured on {day} ({width}), and it has grown since",
        size=size,
        day=long_day(body.outgrown.on),
        width=length(body.outgrown.mm, unit),
    )


def _days_from(body: Body, figures: Figures, sex: str) -> int:
    return round(figures.figure(f"breed_{sex}_days"))


def grown_on(born_on: Date, body: Body, figures: Figures) -> Date:
    """The day from which it is old enough."""
    try:
        return born_on + datetime.timedelta(days=_days_from(body, figures, _word_of(body.sex)))
    except OverflowError:
        return Date.max


def too_wide(his_mm: int | None, her_mm: int | None, figures: Figures) -> bool | None:
    """Whether he is wider than she by more than the figures allow; None: nobody knows.

    >>> none = Figures("none", {})
    >>> too_wide(440, 330, none), too_wide(363, 330, none), too_wide(None, 330, none)
    (True, False, None)
    """
    most = widest_male(her_mm, figures)
    if not his_mm or most is None:
        return None
    return his_mm > most


def widest_male(her_mm: int | None, figures: Figures) -> float | None:
    """How wide a male for her may be, in mm; None: nobody knows.

    >>> widest_male(330, Figures("none", {}))
    363.0
    """
    return round(her_mm * (1 + figures.figure("breed_male_wider_share")), 6) if her_mm else None


def wider_words(his: str, his_mm: int, her: str, her_mm: int, figures: Figures, unit: str) -> str:
    """Why he is too large for her.

    >>> wider_words("Deneb", 440, "Mira", 330, Figures("none", {}), "cm")
    'Deneb is wider than Mira by 33 % (44.0 cm to 33.0 cm); at most 10 % is meant to be'
    """
    most = figures.figure("breed_male_wider_share")
    more = round(100 * (his_mm / her_mm - 1))
    return tell(
        "{male} is wider than {female} by {more} % ({his_width} to {her_width}); at most {most} "
        "is meant to be",
        male=his,
        female=her,
        more=more,
        his_width=length(his_mm, unit),
        her_width=length(her_mm, unit),
        most=percent(most),
    )
