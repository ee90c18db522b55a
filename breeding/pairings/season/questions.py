"""What a female's season asks where its evidence contradicts what is on record."""

import datetime
from collections.abc import Iterator, Sequence

from breeding.animals.models import Animal
from breeding.pairings.models import Sighting
from breeding.pairings.season.disagreements import Disagreement, Way
from breeding.pairings.season.reading import SeasonReading
from breeding.pairings.season.seen import seen_on
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined

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


def counts_for_nothing(reading: SeasonReading, sighting: Sighting) -> bool:
    """Whether nothing follows from it until what her season asks of it is settled."""
    if sighting in reading.testimony.elsewhere:
        return True
    counts = {one.on for one in reading.testimony.signs}
    return sighting in reading.testimony.alone and seen_on(sighting) not in counts


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
    named = {"seen": _seen(signs), "female": female.name}
    if any(seen_on(one) in counts for one in signs):
        words = tell(
            "{seen}, and on record no mature male could have reached {female} then. The day of "
            "the mating counts as company with an unknown male. Say with whom she was, or correct "
            "what was seen.",
            **named,
        )
    else:
        words = tell(
            "{seen}, and on record no mature male could have reached {female} then. Nothing "
            "follows from it until that is settled. Say with whom she was, or correct what was "
            "seen.",
            **named,
        )
    yield _asked("sign_alone", female, (), signs, words, _ways(female, None, signs))


def _elsewhere(reading: SeasonReading) -> Iterator[Disagreement]:
    signs = _recent(reading, reading.testimony.elsewhere)
    for male in {one.male for one in signs if one.male is not None}:
        his = [one for one in signs if one.male == male]
        words = tell(
            "{seen} with {male}, but on record he was not with {female} then: "
            "gone, parted from her, or in other water. Nothing follows from it "
            "until that is settled.",
            seen=_seen(his),
            male=male.name,
            female=reading.female.name,
        )
        ways = _ways(reading.female, male, his)
        yield _asked("sign_elsewhere", reading.female, (male,), his, words, ways)


def _unexplained(reading: SeasonReading) -> Iterator[Disagreement]:
    scan = reading.unexplained_scan
    if scan is None:
        return
    female = reading.female
    words = tell(
        "The scan of {day} saw pups, and no mating day on record could show on "
        "it. Before it her company counts as not known: {missing}. Write down "
        "with whom she was, if that is known, or withdraw the scan.",
        day=long_day(scan.on),
        missing=reading.missing_words,
    )
    ways = (
        Way(tell("Say with whom she was"), "pairings:new", None, f"?female={female.pk}"),
        Way(tell("Withdraw the scan"), WITHDRAW, ("scan", scan.pk)),
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
    words = tell_many(
        "{female} was written down as not pregnant on {day} and gave birth {number} day later, "
        "sooner than any gestation. The birth is put down to her company before that day; "
        "withdraw the record if it was a mistake.",
        "{female} was written down as not pregnant on {day} and gave birth {number} days later, "
        "sooner than any gestation. The birth is put down to her company before that day; "
        "withdraw the record if it was a mistake.",
        gap,
        female=female.name,
        day=long_day(contradicted.on),
    )
    ways = (Way(tell("Withdraw “was not pregnant”"), WITHDRAW, ("outcome", contradicted.pk)),)
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
    said = [
        tell("{sign} on {day}", sign=one.kind.said_within, day=long_day(seen_on(one)))
        for one in signs[-3:]
    ]
    more = len(signs) - len(said)
    if more:
        said.append(tell("{more} before", more=more))
    sentence = joined(said)
    return sentence[0].upper() + sentence[1:]


def _ways(female: Animal, male: Animal | None, signs: Sequence[Sighting]) -> tuple[Way, ...]:
    who = f"?female={female.pk}" + (f"&male={male.pk}" if male else "")
    return (
        Way(tell("Say with whom she was"), "pairings:new", None, who),
        Way(tell("Withdraw what was seen"), WITHDRAW, ("sighting", signs[-1].pk)),
    )
