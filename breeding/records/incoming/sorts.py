"""How each sort of value is read out of a cell, and what is offered where it cannot be."""

import datetime
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from django.utils import timezone

from breeding.animals.models import Animal
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.buyers.models import HandOver
from breeding.feeding.forms import AmountField
from breeding.feeding.models import Meal
from breeding.health.models import Death, Quarantine
from breeding.housing.sizes import LITRES_PER_GALLON
from breeding.program.typed.reading import read_number, read_share
from breeding.records.incoming import cells
from breeding.records.incoming.cells import plain, read_word, refused
from breeding.records.incoming.guesses import date_about, means_nobody, meant_by, near, number_about
from breeding.records.incoming.known import Known, Named
from breeding.records.incoming.said import said
from breeding.traits.models import TraitLook
from breeding.words.language import tell

YES_NO = {"yes": ("yes", "y", "true", "x", "1"), "no": ("no", "n", "false", "0", "-")}
TRANSPORTS = {
    HandOver.Transport.OWN_CAR: ("own car", "car", "collected", "picked up"),
    HandOver.Transport.COURIER: ("courier", "shipped", "post"),
    HandOver.Transport.AIR: ("by air", "air", "flown", "plane"),
}
READ_AS = {"ion": ("ion", "as the ion"), "N": ("n", "as nitrogen", "nitrogen")}
SIDES = {"left": ("left", "l"), "right": ("right", "r"), "": ("whole tank", "whole", "both")}
TOOK = {
    Meal.Took.ALL: ("ate", "all", "yes", "y", "taken", "eaten", "1"),
    Meal.Took.LITTLE: ("ate little", "little", "a little", "some", "half"),
    Meal.Took.NONE: ("refused", "none", "no", "n", "left", "nothing", "0"),
    Meal.Took.UNSEEN: ("nobody saw", "unseen", "not seen", "unknown", "?"),
}
DIRECTIONS = {
    LoanAgreement.Direction.OUT: ("lent out", "out", "lent", "to", "given"),
    LoanAgreement.Direction.IN: ("taken in", "in", "borrowed", "from", "received"),
}
PREGNANT = {
    Arrival.Pregnant.YES: ("said to be", "yes", "y", "pregnant", "x"),
    Arrival.Pregnant.SCAN: ("scan", "seen on a scan", "ultrasound", "scanned"),
    Arrival.Pregnant.NO: ("no", "n", "not pregnant"),
    Arrival.Pregnant.UNKNOWN: ("not known", "unknown", "?", "-"),
}
RESULTS = {
    Quarantine.Result.CLEAR: ("nothing found", "clear", "clean", "healthy", "ok"),
    Quarantine.Result.TREATED: ("was ill and is well", "treated", "cured", "ill"),
    Quarantine.Result.CUT_SHORT: ("ended before its time", "cut short", "early"),
}
CAUSES = {
    Death.Cause.UNKNOWN: ("not known", "unknown", "?", "-"),
    Death.Cause.ILLNESS: ("illness", "an illness", "ill", "disease", "sick"),
    Death.Cause.BITE: ("bite", "a bite", "bites", "bitten", "a bite or crushing", "crushed"),
    Death.Cause.WATER: ("water", "the water", "ammonia", "heater"),
    Death.Cause.FOOD: ("would not eat", "food", "starved", "did not eat"),
    Death.Cause.BIRTH: ("birth", "a birth", "giving birth"),
    Death.Cause.WEAK: ("weak from birth", "weak"),
    Death.Cause.ACCIDENT: ("accident", "an accident", "jumped out"),
    Death.Cause.JOURNEY: ("journey", "a journey", "transport", "shipping"),
    Death.Cause.TREATMENT: ("treatment", "a treatment", "medicine"),
    Death.Cause.AGE: ("old age", "age"),
    Death.Cause.PUT_DOWN: ("put down", "euthanised", "euthanized", "culled"),
    Death.Cause.OTHER: ("something else", "other"),
}
TRAIT_SEEN = {
    TraitLook.Seen.SHOWS: ("shows it", "shows", "yes", "y", "visual", "x", "+"),
    TraitLook.Seen.TWICE: ("as with two copies", "twice", "super", "double"),
    TraitLook.Seen.NOT: ("does not show it", "does not", "no", "n", "normal", "-"),
    TraitLook.Seen.UNTOLD: ("cannot be told yet", "not yet", "too young", "unknown", "?"),
    TraitLook.Seen.NO_COPY: ("tested: no copy", "0 copies", "no copy", "0"),
    TraitLook.Seen.ONE_COPY: ("tested: one copy", "1 copy", "one copy", "1"),
    TraitLook.Seen.TWO_COPIES: ("tested: two copies", "2 copies", "two copies", "2"),
}
RHYTHMS = {
    "once": None,
    **dict.fromkeys(("daily", "every day"), 1),
    **dict.fromkeys(("weekly", "every week"), 7),
    **dict.fromkeys(("fortnightly", "every two weeks", "every 2 weeks"), 14),
}
CERTAINTIES = {
    "P": ("published", "p"),
    "K": ("keeper", "k"),
    "C": ("common practice", "c"),
    "A": ("assumption", "a"),
}
# Sorts that are one of a few words.
WORDS: Mapping[str, Mapping[Any, tuple[str, ...]]] = {
    "sex": cells.SEXES,
    "origin": cells.ORIGINS,
    "state": cells.STATES,
    "yes_no": YES_NO,
    "transport": TRANSPORTS,
    "read_as": READ_AS,
    "side": SIDES,
    "certainty": CERTAINTIES,
    "took": TOOK,
    "direction": DIRECTIONS,
    "pregnant": PREGNANT,
    "result": RESULTS,
    "cause": CAUSES,
    "trait_seen": TRAIT_SEEN,
}
_MEASURED = (
    *("length", "weight", "grams", "count", "number", "temperature", "money", "share"),
    *("percent", "litres", "rhythm"),
)
_CURRENCIES = {"€": "EUR", "$": "USD", "£": "GBP"}
_MG_L = dict.fromkeys(("mg/l", "ppm"), "mg/L")
_VOLUMES = {
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), "L"),
    **dict.fromkeys(("gal", "gallon", "gallons"), "gal"),
}
_DEGREES = {"c": "c", "°c": "c", "f": "f", "°f": "f", "°": "°"}


@dataclass(frozen=True)
class Offered:
    """What may be chosen in place of a value, what is proposed, and whether its words are kept."""

    choices: Sequence[tuple[str, str]] = ()
    proposed: str = ""
    keeps_words: bool = False
    may_be_new: bool = False
    proposes_nothing: bool = False  # to leave it empty, with its words in the note


@dataclass
class Reading:
    """What reading a cell rests on: the records, the order of dates, today, and the unit."""

    known: Known
    order: str
    today: datetime.date
    unit: str = ""


def read_value(sort: str, typed: str, reading: Reading, *, what: str) -> Any:
    """What a cell of this sort says. Raises ValidationError."""
    if sort in WORDS:
        return read_word(typed, WORDS[sort], what=what)
    return _READERS[sort](typed, reading)


def _day(typed: str, reading: Reading) -> datetime.date:
    on = cells.read_full_date(typed, reading.order, today=reading.today)
    if on is None:
        raise refused(tell("is not a day; write it like 2024-05-03."))
    return on


def _day_ahead(typed: str, reading: Reading) -> datetime.date:
    """A day that may be to come."""
    return _day(typed, replace(reading, today=datetime.date.max))


def _moment(typed: str, reading: Reading) -> datetime.datetime:
    """A day with its time; noon of the day where nothing is said of the hour."""
    day, time = _parted(typed)
    on = _day(day, reading)
    return datetime.datetime.combine(on, time, tzinfo=timezone.get_current_timezone())


def _parted(typed: str) -> tuple[str, datetime.time]:
    words = typed.replace("T", " ").split()
    if len(words) > 1 and ":" in words[-1]:
        try:
            time = datetime.time.fromisoformat(words[-1].zfill(5))
        except ValueError:
            raise refused(
                tell("has no time of day that can be read; write it like 14:30.")
            ) from None
        return " ".join(words[:-1]), time.replace(second=0, microsecond=0, tzinfo=None)
    return typed, datetime.time(12)


def _time(typed: str, _: Reading) -> datetime.time:
    return _parted(f"x {typed}" if ":" in typed else f"x {typed}:00")[1]


def _count(typed: str, _: Reading) -> int:
    number, _unit = read_number(typed, places=0)
    if number != number.to_integral_value() or not 0 <= number <= 10_000:
        raise refused(tell("is not a count; write a whole number."))
    return int(number)


def _rhythm(typed: str, reading: Reading) -> int | None:
    """Every so many days; None for once."""
    known = plain(typed)
    if known in RHYTHMS:
        return RHYTHMS[known]
    bare = known.removeprefix("every ").removesuffix(" days").removesuffix(" d")
    return _count(bare, reading) or None


def _number(typed: str, _: Reading) -> Decimal:
    return read_number(typed, units=_MG_L, places=3)[0]


def _grams(typed: str, reading: Reading) -> Decimal:
    """Of food, to a tenth."""
    field = AmountField(unit=reading.unit or "g")
    number, own = read_number(typed, units=field.units, places=field.places)
    return field.stored(number, own or field.unit)


def _in_hundred(typed: str, _: Reading) -> Decimal:
    return read_number(typed, units={"%": "%", "percent": "%"}, places=1)[0]


def _litres(typed: str, _: Reading) -> Decimal:
    """In litres, or with US gallons said beside it."""
    number, unit = read_number(typed, units=_VOLUMES, places=1)
    return round(number * Decimal(str(LITRES_PER_GALLON)), 1) if unit == "gal" else number


def _temperature(typed: str, reading: Reading) -> Decimal:
    number, own = read_number(typed, units=_DEGREES, places=2)
    if (own if own in ("c", "f") else reading.unit) == "f":
        return round((number - 32) * 5 / 9, 2)
    return number


def _money(typed: str, _: Reading) -> tuple[Decimal, str]:
    """An amount and its currency, empty where the cell does not name it."""
    bare, currency = typed, ""
    for sign, code in (*_CURRENCIES.items(), *((one, one) for one in _CURRENCIES.values())):
        if sign in bare.upper():
            bare, currency = bare.upper().replace(sign, "").strip(" -.,"), code
    return read_number(bare, places=2)[0], currency


def _animals(typed: str, reading: Reading) -> list[Animal]:
    """Several animals in one cell: A1, A2 and A3."""
    for sign in (";", "|", "/", " and ", " & ", "+"):
        typed = typed.replace(sign, ",")
    return [reading.known.animals.find(one) for one in typed.split(",") if one.strip()]


def _measures(read: Callable[[str, str], int]) -> Callable[[str, Reading], list[int | None]]:
    """Sizes of several young in one cell, in their order; ? for one that nobody measured."""

    def read_all(typed: str, reading: Reading) -> list[int | None]:
        parts = _measures_in(typed)
        return [None if part in cells.NOBODY else read(part, reading.unit) for part in parts]

    return read_all


def _measures_in(typed: str) -> list[str]:
    """The parts of a list of numbers: 85; 90 or 85, 90 or 85 90 or 85,90,92.

    Raises ValidationError where one comma may part two numbers or stand within one.
    """
    for sign in ("|", "/", "\n"):
        typed = typed.replace(sign, ";")
    if ";" in typed:
        parts = typed.split(";")
    elif ", " in typed:
        parts = typed.split(", ")
    elif typed.count(",") > 1:
        parts = typed.split(",")
    elif "," in typed and " " not in typed:
        one, _, other = typed.partition(",")
        raise refused(
            tell("can be one number or two; write {one}; {other} for two.", one=one, other=other)
        )
    else:
        parts = re.split(r"(?<=\d) +(?=[\d?])|(?<=[?]) +|(?<=[a-z]) +(?=[\d?])", typed)
    return [part.strip().rstrip(",") for part in parts if part.strip()]


def _nobody_or(named: Callable[[Known], Named[Any]]) -> Callable[[str, Reading], Any]:
    def read(typed: str, reading: Reading) -> Any:
        return None if plain(typed) in cells.NOBODY else named(reading.known).find(typed)

    return read


NAMED: Mapping[str, Callable[[Known], Named[Any]]] = {
    "animal": lambda known: known.animals,
    "parent": lambda known: known.animals,
    "animals": lambda known: known.animals,
    "tank": lambda known: known.tanks,
    "source": lambda known: known.sources,
    "person": lambda known: known.people,
    "species": lambda known: known.species,
    "strain": lambda known: known.strains,
    "sign": lambda known: known.signs,
    "trait": lambda known: known.traits,
}
_READERS: Mapping[str, Callable[[str, Reading], Any]] = {
    "text": lambda typed, _: typed.strip(),
    "day": _day,
    "day_ahead": _day_ahead,
    "rhythm": _rhythm,
    "moment": _moment,
    "time": _time,
    "count": _count,
    "number": _number,
    "grams": _grams,
    "percent": _in_hundred,
    "litres": _litres,
    "temperature": _temperature,
    "money": _money,
    "length": lambda typed, reading: cells.read_length(typed, reading.unit),
    "weight": lambda typed, reading: cells.read_weight(typed, reading.unit),
    "lengths": _measures(cells.read_length),
    "weights": _measures(cells.read_weight),
    "share": lambda typed, _: read_share(typed),
    "animals": _animals,
    **{sort: _nobody_or(named) for sort, named in NAMED.items() if sort != "animals"},
}


def offered_for(sort: str, typed: str, known: Known, own: Sequence[str] = ()) -> Offered:
    """What may stand in place of a value of this sort; `own` are names in the table itself."""
    if sort in WORDS:
        return _offered_words(sort, typed)
    if sort in NAMED:
        return _offered_names(sort, NAMED[sort](known), typed, own)
    if sort in ("day", "day_ahead", "moment", "lengths", "weights"):
        return Offered(keeps_words=True, proposes_nothing=sort != "moment")
    if sort == "birth" or sort in _MEASURED:
        about = date_about(typed) if sort == "birth" else number_about(typed)
        choices = [(about, about)] if about else []
        return Offered(choices, about, keeps_words=True, proposes_nothing=True)
    return Offered()


def _offered_words(sort: str, typed: str) -> Offered:
    words = WORDS[sort]
    every = {one: spellings[0] for spellings in words.values() for one in spellings}
    proposed, says_more = meant_by(typed, every)
    longest = {one[0]: max(one, key=len).removeprefix("as ") for one in words.values()}
    choices = [(one, said(sort, one if len(one) > 1 else longest[one])) for one in longest]
    return Offered(choices, proposed, keeps_words=says_more)


def _offered_names(sort: str, named: Named[Any], typed: str, own: Sequence[str]) -> Offered:
    proposed = near(typed, own) or named.near(typed)
    choices = dict(named.offered(typed))
    if proposed and proposed not in choices:
        choices = {proposed: proposed} | choices
    return Offered(
        list(choices.items())[:60],
        proposed,
        keeps_words=False,
        may_be_new=sort in ("tank", "source", "person", "parent", "strain"),
        # One animal of that name would make kin of all whose sire nobody knows.
        proposes_nothing=not proposed and means_nobody(typed),
    )
