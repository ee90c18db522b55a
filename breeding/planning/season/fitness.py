"""Whether an animal could be mated, and whether it is fit to breed: two figures, with words; pure.

The first is early, so that no mating is overlooked; the second asks more, so that nobody is bred
who should not be: age and width, condition, open wounds and refused food, rest. What is not on
record is said, and neither stands for her nor against her.
"""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from breeding.animals.species.profiles import Figures
from breeding.program.kinds import kind_words
from breeding.words.days import long_day
from breeding.words.numbers import joined, percent
from breeding.words.sizes import length

Date = datetime.date

# Used only where a profile has no figure at all; the figures themselves are data.
GROWN_DAYS = {"M": 548, "F": 730}
GROWN_MM = {"M": 310, "F": 350}
LEAST_CONDITION = 3
WIDER_SHARE = 0.10


@dataclass(frozen=True)
class Body:
    """What is on record of one animal that fitness asks for. born_on: the first possible day."""

    sex: str
    born_on: Date | None = None
    disc_width_mm: int | None = None
    condition: int | None = None  # 1 to 5
    open_harm: Sequence[str] = ()  # each a part of a sentence after the name
    rests_until: Date | None = None


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
            return f"no: {joined(list(self.unfit))}"
        if self.unknown:
            return f"as far as is known; {joined(list(self.unknown))}"
        return "yes, by age, width, condition, health and rest"


def fitness(body: Body, figures: Figures, *, today: Date, unit: str) -> Fitness:
    """Judged by every figure there is: an old female that is small is not fit, nor a large young
    one. `unit`: of lengths, in words."""
    unfit, unknown = list(body.open_harm), []
    if body.rests_until is not None and body.rests_until > today:
        unfit.append(f"rests until {long_day(body.rests_until)} after her last birth")
    least = round(figures.get("breed_least_condition", LEAST_CONDITION))
    if body.condition is not None and body.condition < least:
        unfit.append(f"is thin (condition {body.condition} of 5)")
    sex = "male" if body.sex == "M" else "female"
    if body.born_on is None:
        unknown.append("its age is not on record")
    elif (grown_on := _grown_on(body.born_on, body, figures, sex)) > today:
        unfit.append(
            f"is too young: by the species' figures a {sex} is fit to breed from "
            f"{_days_from(body, figures, sex)} days on, that is {long_day(grown_on)}"
        )
    least_mm = figures.get(f"breed_{sex}_mm", GROWN_MM["M" if sex == "male" else "F"])
    if body.disc_width_mm is None:
        unknown.append(f"its {kind_words().size} is not on record")
    elif body.disc_width_mm < least_mm:
        unfit.append(
            f"is {length(body.disc_width_mm, unit)} wide: by the species' figures a {sex} is fit "
            f"to breed from {length(least_mm, unit)}"
        )
    return Fitness(tuple(unfit), tuple(unknown))


def _days_from(body: Body, figures: Figures, sex: str) -> int:
    return round(figures.get(f"breed_{sex}_days", GROWN_DAYS["M" if sex == "male" else "F"]))


def _grown_on(born_on: Date, body: Body, figures: Figures, sex: str) -> Date:
    try:
        return born_on + datetime.timedelta(days=_days_from(body, figures, sex))
    except OverflowError:
        return Date.max


def too_wide(his_mm: int | None, her_mm: int | None, figures: Figures) -> bool | None:
    """Whether he is wider than she by more than the figures allow; None: nobody knows.

    >>> none = Figures("none", {})
    >>> too_wide(440, 330, none), too_wide(363, 330, none), too_wide(None, 330, none)
    (True, False, None)
    """
    if not his_mm or not her_mm:
        return None
    most = figures.get("breed_male_wider_share", WIDER_SHARE)
    return his_mm > round(her_mm * (1 + most), 6)


def wider_words(his: str, his_mm: int, her: str, her_mm: int, figures: Figures, unit: str) -> str:
    """Why he is too large for her.

    >>> wider_words("Deneb", 440, "Mira", 330, Figures("none", {}), "cm")
    'Deneb is wider than Mira by 33.33 % (44.0 cm to 33.0 cm); at most 10 % is meant to be'
    """
    most = figures.get("breed_male_wider_share", WIDER_SHARE)
    return (
        f"{his} is wider than {her} by {percent(his_mm / her_mm - 1)} ({length(his_mm, unit)} to "
        f"{length(her_mm, unit)}); at most {percent(most)} is meant to be"
    )
