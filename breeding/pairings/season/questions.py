"""What a female's season asks where its evidence contradicts what is on record."""

import datetime
from collections.abc import Iterator, Sequence

from breeding.animals.models import Animal
from breeding.pairings.models import Sighting
from breeding.pairings.season.disagreements import Disagreement, Way
from breeding.pairings.season.facts import seen_on
from breeding.pairings.season.reading import SeasonReading
from breeding.words.days import long_day
from breeding.words.numbers import counted, joined

DAY = datetime.timedelta(days=1)
ASKED_FOR_DAYS = 365
WITHDRAW = "program:withdraw"


def questions_of(reading: SeasonReading) -> tuple[Disagreement, ...]:
    """What stands to be settled on the day of reckoning."""
    return (
        *_alone(reading),
        *_elsewhere(reading),
        *_unexplained(reading),
        *_not_pregnant_then_birth(reading),
    )


def _recent(reading: SeasonReading, sightings: Sequence[Sighting]) -> list[Sighting]:
    """Those that a birth still to come can rest on."""
    longest = reading.profile.gestation_mean_days + 3 * reading.profile.gestation_spread_days
    since = reading.asof - DAY * round(longest)
    return [one for one in sightings if seen_on(one) >= since]


def _alone(reading: SeasonReading) -> Iterator[Disagreement]:
    signs = _recent(reading, reading.testimony.alone)
    if not signs:
        return
    female = reading.female
    counts = {one.on for one in reading.testimony.signs}
    follows = (
        "The day of the mating counts as company with a male who is not known."
        if any(seen_on(one) in counts for one in signs)
        else "Nothing follows from it until that is settled."
    )
    words = (
        f"{_seen(signs)}, and no mature male is on record that could reach {female.name} then. "
        f"{follows} Say with whom she was, or correct what was seen."
    )
    yield _asked("sign_alone", female, (), signs, words, _ways(female, None, signs))


def _elsewhere(reading: SeasonReading) -> Iterator[Disagreement]:
    signs = _recent(reading, reading.testimony.elsewhere)
    for male in {one.male for one in signs if one.male is not None}:
        his = [one for one in signs if one.male == male]
        words = (
            f"{_seen(his)} with {male.name}, but on record he was not with {reading.female.name} "
            "then: gone, parted from her, or in other water. Nothing follows from it until that "
            "is settled."
        )
        ways = _ways(reading.female, male, his)
        yield _asked("sign_elsewhere", reading.female, (male,), his, words, ways)


def _unexplained(reading: SeasonReading) -> Iterator[Disagreement]:
    scan = reading.unexplained_scan
    if scan is None:
        return
    female = reading.female
    words = (
        f"The scan of {long_day(scan.on)} saw pups, and no mating day on record could show on "
        f"it. Before it her company counts as not known: {reading.missing_words}. Write down "
        "with whom she was, if that is known, or withdraw the scan."
    )
    ways = (
        Way("Say with whom she was", "pairings:new", None, f"?female={female.pk}"),
        Way("Withdraw the scan", WITHDRAW, ("scan", scan.pk)),
    )
    yield Disagreement(
        f"{female.pk}:{scan.pk}", "scan_unexplained", female, (), scan.on, words, ways
    )


def _not_pregnant_then_birth(reading: SeasonReading) -> Iterator[Disagreement]:
    female, last = reading.female, reading.last_outcome
    contradicted = reading.contradicted
    if last is None or contradicted is None or (reading.asof - last.on).days > ASKED_FOR_DAYS:
        return
    gap = (last.on - contradicted.on).days
    words = (
        f"{female.name} was written down as not pregnant on {long_day(contradicted.on)} and gave "
        f"birth {counted(gap, 'day')} later, sooner than any gestation. The birth is reckoned "
        "from the company before; withdraw the record if it was a mistake."
    )
    ways = (Way("Withdraw “was not pregnant”", WITHDRAW, ("outcome", contradicted.pk)),)
    yield Disagreement(
        f"{female.pk}:{contradicted.pk}",
        "not_pregnant_then_birth",
        female,
        (),
        last.on,
        words,
        ways,
    )


def _asked(
    kind: str,
    female: Animal,
    males: tuple[Animal, ...],
    signs: Sequence[Sighting],
    words: str,
    ways: tuple[Way, ...],
) -> Disagreement:
    """Asked again when another such sign is seen, whatever was answered before."""
    key = f"{female.pk}:{max(one.pk for one in signs)}"
    return Disagreement(key, kind, female, males, seen_on(signs[0]), words, ways)


def _seen(signs: Sequence[Sighting]) -> str:
    said = [f"{one.kind.label.lower()} on {long_day(seen_on(one))}" for one in signs[-3:]]
    more = len(signs) - len(said)
    if more:
        said.append(f"{more} before")
    sentence = joined(said)
    return sentence[0].upper() + sentence[1:]


def _ways(female: Animal, male: Animal | None, signs: Sequence[Sighting]) -> tuple[Way, ...]:
    who = f"?female={female.pk}" + (f"&male={male.pk}" if male else "")
    return (
        Way("Say with whom she was", "pairings:new", None, who),
        Way("Withdraw what was seen", WITHDRAW, ("sighting", signs[-1].pk)),
    )
