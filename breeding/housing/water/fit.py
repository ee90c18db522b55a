"""What a water test says: nitrogen and ion, and whether water is fit; no rows, no clock."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from breeding.housing.ammonia import unionised_ammonia_mg_l
from breeding.housing.figures import figure, in_tenths
from breeding.words.days import distance, long_day, stretch
from breeding.words.language import message, sentences, tell, tell_many
from breeding.words.numbers import joined

# Milligrams of the whole molecule for one of its nitrogen, from atomic masses N 14.007,
# H 1.008, O 15.999 (IUPAC, abridged): NH4, NO2, NO3. NH3 would be 1.216.
ION_PER_NITROGEN = {
    "ammonia": (14.007 + 4 * 1.008) / 14.007,
    "nitrite": (14.007 + 2 * 15.999) / 14.007,
    "nitrate": (14.007 + 3 * 15.999) / 14.007,
}
FORMULAS = {"ammonia": "NH4", "nitrite": "NO2", "nitrate": "NO3"}
ASKED_FOR = ("ammonia", "nitrite", "temperature", "ph")  # without these nothing is called fit
NAMES = {
    "temperature": message("temperature"),
    "ph": "pH",
    "ammonia": message("ammonia"),
    "nitrite": message("nitrite"),
    "nitrate": message("nitrate"),
    "conductivity": message("conductivity"),
    "kh": "KH",
}
HEADINGS = {
    "temperature": message("Temperature"),
    "ph": "pH",
    "ammonia": message("Ammonia"),
    "nitrite": message("Nitrite"),
    "nitrate": message("Nitrate"),
    "conductivity": message("Conductivity"),
    "kh": "KH",
}
UNITS = {"conductivity": " µS/cm", "kh": " °dH"}  # read in one unit only


def as_nitrogen(mg_l: float, what: str, read_as: str) -> float:
    """A reading of ammonia, nitrite or nitrate as mg/L of nitrogen; `read_as` is "N" or "ion".

    Raises ValueError for another substance or unit.

    >>> round(as_nitrogen(4.427, "nitrate", "ion"), 3)
    1.0
    """
    return mg_l if _check(what, read_as) == "N" else mg_l / ION_PER_NITROGEN[what]


def as_ion(mg_l: float, what: str, read_as: str) -> float:
    """A reading of ammonia, nitrite or nitrate as mg/L of NH4, NO2 or NO3.

    >>> round(as_ion(1, "nitrite", "N"), 3), as_ion(0.5, "nitrite", "ion")
    (3.284, 0.5)
    """
    return mg_l if _check(what, read_as) == "ion" else mg_l * ION_PER_NITROGEN[what]


def unit_words(what: str, read_as: str) -> str:
    """How a reading's unit is written.

    >>> unit_words("nitrate", "ion"), unit_words("nitrate", "N")
    ('mg/L NO3', 'mg/L NO3-N')
    """
    nitrogen = "-N" if _check(what, read_as) == "N" else ""
    return f"mg/L {FORMULAS[what]}{nitrogen}"


def _check(what: str, read_as: str) -> str:
    if what not in ION_PER_NITROGEN:
        raise ValueError(f"{what!r} is none of {', '.join(ION_PER_NITROGEN)}.")
    if read_as not in ("N", "ion"):
        raise ValueError(f'{read_as!r} is no unit: "N" or "ion" is allowed.')
    return read_as


@dataclass(frozen=True)
class Range:
    """From least to most (None: no limit); °C, pH, mg/L of the ion, µS/cm, or °dH."""

    what: str
    least: float | None
    most: float | None
    source: str

    def holds(self, value: float) -> bool:
        return (self.least is None or value >= self.least) and (
            self.most is None or value <= self.most
        )


@dataclass(frozen=True)
class Reading:
    """One value of a test as typed; `read_as` only for ammonia, nitrite and nitrate."""

    what: str
    value: float
    on: datetime.date
    read_as: str = ""

    @property
    def compared(self) -> float:
        """The value in the unit of the ranges."""
        return as_ion(self.value, self.what, self.read_as) if self.read_as else self.value


@dataclass(frozen=True)
class WaterFit:
    """Whether water is fit: yes, no, or not known; `because` says why, `words` both."""

    fit: bool | None
    because: str
    tested_on: datetime.date | None = None

    @property
    def verdict(self) -> str:
        if self.fit is None:
            return tell("not known")
        return tell("fit") if self.fit else tell("not fit")

    @property
    def words(self) -> str:
        if self.fit is None:
            return tell("Not known: {reason}", reason=self.because)
        if self.fit:
            return tell("Fit: {reason}", reason=self.because)
        return tell("Not fit: {reason}", reason=self.because)


def judge(
    newest: Mapping[str, Reading],
    ranges: Mapping[str, Range],
    *,
    asof: datetime.date,
    days: int,
    last_on: datetime.date | None,
    temperature_unit: str = "C",
    ph_wrong: Sequence[str] | None = None,
    ph_note: str = "",
) -> WaterFit:
    """Whether water is fit, from the newest reading of each kind.

    Anything out of range says no, however old it is among these. Without a reading of ammonia,
    nitrite, temperature and pH in the last `days` days it is not known: `last_on` is the day of
    the newest test of all, however old, and None for never. `ph_wrong` takes the place of the
    range of pH where more than a range was asked (water/ph.py); `ph_note` is why a pH outside of
    it stands.
    """
    wrong: list[tuple[datetime.date, str]] = []
    for what, reading in newest.items():
        if what == "ph" and ph_wrong is not None:
            wrong += [(reading.on, said) for said in ph_wrong]
        elif what in ranges and not ranges[what].holds(reading.compared):
            said = _said(reading, temperature_unit)
            wrong.append((reading.on, _wanted_words(said, ranges[what], temperature_unit)))
    tested_on = max((reading.on for reading in newest.values()), default=last_on)
    if wrong:
        return WaterFit(False, _wrong_words(wrong, asof), tested_on)
    if last_on is None or tested_on is None:
        return WaterFit(None, tell("the water has never been tested."))
    recent = {what: one for what, one in newest.items() if (asof - one.on).days <= days}
    if not recent:
        old = tell(
            "the last test is {age} old ({day}); test again.",
            age=stretch(tested_on, asof),
            day=long_day(tested_on),
        )
        return WaterFit(None, old, tested_on)
    when = tell("tested {when}", when=distance(tested_on, asof))
    missing = [what for what in ASKED_FOR if what not in recent]
    if missing:
        lacking = tell_many(
            "{names} not tested in the last {number} day; {tested}.",
            "{names} not tested in the last {number} days; {tested}.",
            days,
            names=joined([name_words(what) for what in missing], "or"),
            tested=when,
        )
        return WaterFit(None, lacking, tested_on)
    temperature, ph = recent["temperature"], recent["ph"]
    values = {"temperature": _said(temperature, temperature_unit), "ph": _said(ph), "tested": when}
    if all(recent[what].value == 0 for what in ("ammonia", "nitrite")):
        clean = tell("ammonia and nitrite not detectable, {temperature}, {ph}; {tested}.", **values)
    else:
        clean = tell(
            "ammonia and nitrite within your limits, {temperature}, {ph}; {tested}.", **values
        )
    because = sentences(clean, _older_words(recent, tested_on, asof), ph_note)
    return WaterFit(True, because, tested_on)


def _older_words(
    recent: Mapping[str, Reading], tested_on: datetime.date, asof: datetime.date
) -> str:
    """Which of those asked for the newest test left out, and how old the oldest of them is."""
    older = [what for what in ASKED_FOR if recent[what].on < tested_on]
    if not older:
        return ""
    return tell(
        "Not tested then: {names}, last {when}.",
        names=joined([name_words(what) for what in older]),
        when=distance(min(recent[what].on for what in older), asof),
    )


def _wrong_words(wrong: Sequence[tuple[datetime.date, str]], asof: datetime.date) -> str:
    """What is out of range and when it was read: each with its day where the days differ."""
    newest = max(on for on, _ in wrong)
    said = [
        words if on == newest else tell("{reading} on {day}", reading=words, day=long_day(on))
        for on, words in wrong
    ]
    return f"{joined(said)}; {tell('tested {when}', when=distance(newest, asof))}."


def name_words(what: str) -> str:
    """What a quantity is called within a sentence.

    >>> name_words("nitrite"), name_words("ph")
    ('nitrite', 'pH')
    """
    return tell(NAMES[what])


def heading_words(what: str) -> str:
    """What it is called at the beginning of a line.

    >>> heading_words("nitrite"), heading_words("ph")
    ('Nitrite', 'pH')
    """
    return tell(HEADINGS[what])


def _said(reading: Reading, temperature_unit: str = "C") -> str:
    if reading.what == "temperature":
        return temperature_words(reading.value, temperature_unit)
    return f"{name_words(reading.what)} {value_words(reading)}"


def value_words(reading: Reading) -> str:
    """A value with its unit; a temperature in °C.

    >>> value_words(Reading("conductivity", 1250, datetime.date(2026, 3, 1)))
    '1250 µS/cm'
    """
    unit = f" {unit_words(reading.what, reading.read_as)}" if reading.read_as else ""
    return f"{figure(reading.value, '.6g')}{unit or UNITS.get(reading.what, '')}"


def unlikely_words(
    readings: Iterable[Reading], likely: Mapping[str, Range], temperature_unit: str = "C"
) -> list[str]:
    """Of each reading that is hardly ever so, a sentence; it may still be right.

    >>> unlikely_words(
    ...     [Reading("ph", 9.6, datetime.date(2026, 3, 1))], {"ph": Range("ph", 5, 9, "own book")}
    ... )
    ['pH 9.6 is unlikely; usual is 5 to 9 (own book).']
    """
    return [
        tell(
            "{reading} is unlikely; usual is {usual} ({source}).",
            reading=_said(one, temperature_unit),
            usual=_bounds(likely[one.what], temperature_unit),
            source=tell(likely[one.what].source),
        )
        for one in readings
        if one.what in likely and not likely[one.what].holds(one.compared)
    ]


def danger_words(
    readings: Iterable[Reading], borne: Mapping[str, Range], temperature_unit: str = "C"
) -> list[str]:
    """Of each reading that a ray of the family does not bear for long, a sentence.

    >>> danger_words(
    ...     [Reading("temperature", 18, datetime.date(2026, 3, 1))],
    ...     {"temperature": Range("temperature", 22, 31, "own book")},
    ... )
    ['18 °C is an emergency for a ray, which needs 22 °C to 31 °C (own book).']
    """
    return [
        tell(
            "{reading} is an emergency for a ray, which needs {needed} ({source}).",
            reading=_said(one, temperature_unit),
            needed=_bounds(borne[one.what], temperature_unit),
            source=tell(borne[one.what].source),
        )
        for one in readings
        if one.what in borne and not borne[one.what].holds(one.compared)
    ]


def _wanted_words(said: str, limits: Range, temperature_unit: str) -> str:
    if limits.most == 0:
        return tell("{reading} (none may be detectable)", reading=said)
    return tell(
        "{reading} (allowed {limits})", reading=said, limits=_bounds(limits, temperature_unit)
    )


def _bounds(limits: Range, temperature_unit: str) -> str:
    if limits.what == "temperature":
        shown = [
            temperature_words(value, temperature_unit)
            for value in (limits.least, limits.most)
            if value is not None
        ]
        return tell("{least} to {most}", least=shown[0], most=shown[1]) if shown[1:] else shown[0]
    unit = UNITS.get(limits.what, "")
    if limits.least is not None and limits.most is not None:
        return span_of_figures(limits.least, limits.most) + unit
    unit = f" {unit_words(limits.what, 'ion')}" if limits.what in FORMULAS else unit
    if limits.most is not None:
        return tell("at most {value}", value=f"{figure(limits.most)}{unit}")
    return tell("at least {value}", value=f"{figure(limits.least or 0)}{unit}")


def span_of_figures(least: float, most: float) -> str:
    """From one figure to another.

    >>> span_of_figures(6.0, 7.8)
    '6 to 7.8'
    """
    return tell("{least} to {most}", least=figure(least), most=figure(most))


def temperature_words(celsius: float, unit: str) -> str:
    """A temperature in °C or °F.

    >>> temperature_words(26.5, "C"), temperature_words(25, "F")
    ('26.5 °C', '77 °F')
    """
    value = celsius if unit == "C" else celsius * 9 / 5 + 32
    return f"{in_tenths(value)} °{unit}"


def unionised_words(
    nitrogen_mg_l: float,
    temperature_c: float,
    ph: float,
    *,
    cautious_mg_l: float,
    harm_mg_l: float,
) -> str:
    """Un-ionised ammonia as nitrogen in mg/L and what it means; total ammonia as nitrogen given.

    >>> unionised_words(1.0, 24, 8.0, cautious_mg_l=0.02, harm_mg_l=0.05)
    'Un-ionised ammonia 0.0502 mg/L NH3-N: harm begins above 0.05. Change water and find the cause.'
    """
    found = unionised_ammonia_mg_l(nitrogen_mg_l, temperature_c, ph)
    said = {"found": figure(found, ".3g"), "harm": figure(harm_mg_l)}
    meaning = _harm(found, cautious_mg_l, harm_mg_l)
    if meaning == "harm":
        return tell(
            "Un-ionised ammonia {found} mg/L NH3-N: harm begins above {harm}. Change water and "
            "find the cause.",
            **said,
        )
    said["cautious"] = figure(cautious_mg_l)
    if meaning == "cautious":
        return tell(
            "Un-ionised ammonia {found} mg/L NH3-N: above the cautious line of {cautious}; harm "
            "begins above {harm}.",
            **said,
        )
    return tell(
        "Un-ionised ammonia {found} mg/L NH3-N: not above the cautious line of {cautious}; harm "
        "begins above {harm}.",
        **said,
    )


def harm_of(
    nitrogen_mg_l: float,
    temperature_c: float,
    ph: float,
    *,
    cautious_mg_l: float,
    harm_mg_l: float,
) -> str:
    """What the same means, by a key: "harm", "cautious" or "none".

    >>> harm_of(1.0, 24, 8.0, cautious_mg_l=0.02, harm_mg_l=0.05)
    'harm'
    """
    found = unionised_ammonia_mg_l(nitrogen_mg_l, temperature_c, ph)
    return _harm(found, cautious_mg_l, harm_mg_l)


def _harm(found_mg_l: float, cautious_mg_l: float, harm_mg_l: float) -> str:
    if found_mg_l > harm_mg_l:
        return "harm"
    return "cautious" if found_mg_l > cautious_mg_l else "none"
