"""What is asked at each door at which company can begin; housing asks through `following`."""

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence

from django.db.models import Q

from breeding.animals.away.following import Gone
from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.housing.queries import stays_over
from breeding.housing.stays.everywhere import Everywhere
from breeding.housing.stays.following import Asking, Meeting, Offer
from breeding.housing.stays.shared_water import share_water
from breeding.pairings.company.concerns import Company, Concern, concerns_of
from breeding.pairings.company.known import FEMALE, MALE, Known, could_breed_since, known_of
from breeding.pairings.models import Pairing
from breeding.pairings.season.exposure import Maturity
from breeding.program.parts import in_parts
from breeding.program.problems.doubts import Doubt
from breeding.program.queries import the_program
from breeding.words.days import long_day
from breeding.words.language import message, sentences, tell
from breeding.words.stored import as_stored, stored

# What a separation says of one that is gone.
_BECAUSE: dict[str, str] = {
    Animal.State.ON_LOAN: stored(message("because {animal} went on loan")),
    Animal.State.LEFT: stored(message("because {animal} left")),
    Animal.State.DIED: stored(message("because {animal} died")),
}


def doubts_of_meeting(meeting: Meeting) -> Iterator[Doubt]:
    """What speaks against these meeting: a sentence for each pair."""
    coming, there = list(meeting.coming), list(meeting.there)
    could_breed = could_breed_since({one.pk: one for one in (*coming, *there)})
    asked = females_with_males(coming, there, could_breed, meeting.on)
    known = known_of((*coming, *there), the_program(), on=meeting.on, seasons_of=asked)
    for concern in concerns_between(meeting.coming, meeting.there, meeting.tank, known):
        yield from doubts_in(concern, meeting.field)


def doubts_in_turn(
    animals: Mapping[int, Animal], where: Everywhere, first: datetime.date
) -> Asking:
    """The same of one meeting after the other, while a table of many stays comes in."""
    from breeding.pairings.company.in_turn import MeetingsInTurn  # not loaded at a start

    return MeetingsInTurn(animals, where, first)


def females_with_males(
    coming: Iterable[Animal],
    there: Iterable[Animal],
    could_breed: Mapping[int, Maturity],
    on: datetime.date,
) -> set[int]:
    """Females that come to a male who could breed by then, or to whom one comes: no other male
    could mate her.
    """
    found = set()
    for some, others in ((coming, there), (there, coming)):
        if any(one.sex == MALE and could_breed[one.pk].since <= on for one in others):
            found |= {one.pk for one in some if one.sex == FEMALE}
    return found


def concerns_between(
    coming: Iterable[Animal], there: Iterable[Animal], tank: Tank, known: Known
) -> list[Concern]:
    """What speaks against these coming to those."""
    coming, there = list(coming), list(there)
    pairs = [(one, other) for one in coming for other in there if one.pk != other.pk]
    return concerns_of(Company(pairs, tank, frozenset(one.pk for one in coming)), known)


def doubts_in(concern: Concern, field: str) -> Iterator[Doubt]:
    for sentence in concern.sentences:
        yield Doubt(
            sentence,
            field,
            needs_reason=concern.answer == "reason",
            is_only_said=concern.answer == "said",
        )


def endings_offered(moved: Sequence[Animal]) -> Iterator[Offer]:
    """For each open pairing of each that is moved: to end it on the day of the move."""
    of_each = open_pairings(one.pk for one in moved)
    for one in moved:
        for pairing in of_each.get(one.pk, ()):
            yield Offer(
                key=f"end_{pairing.pk}",
                label=tell("End the pairing of {pair} on that day", pair=pairing),
                carry_out=lambda on, by, pairing=pairing, one=one: _end(pairing, one, on),  # type: ignore[misc]
            )


def end_pairings_of(gone: Sequence[Gone]) -> dict[int, str]:
    """The open pairings of those that went on loan, left or died end on that day; in words."""
    of_each = open_pairings(one.pk for one, _ in gone)
    found = {}
    for one, on in gone:
        ended = []
        for pairing in of_each.get(one.pk, ()):
            if pairing.separated_on is None and on >= pairing.introduced_on:
                pairing.separated_on = on
                pairing.separation_note = as_stored(_BECAUSE[one.state], animal=one.name)
                pairing.save()
                ended.append(
                    tell("The pairing of {pair} ends on {day}.", pair=pairing, day=long_day(on))
                )
        if ended:
            found[one.pk] = sentences(*ended)
    return found


def open_pairings(animals: Iterable[int]) -> dict[int, list[Pairing]]:
    """Of these animals, by each of the two: one query for many."""
    going_on = Pairing.objects.filter(separated_on__isnull=True, withdrawn_at__isnull=True)
    found: dict[int, list[Pairing]] = {}
    every: dict[int, Pairing] = {}
    for keys in in_parts(list(dict.fromkeys(animals))):
        rows = going_on.filter(Q(female__in=keys) | Q(male__in=keys))
        for row in rows.select_related("female", "male"):
            pairing = every.setdefault(row.pk, row)
            for key in {pairing.female_id, pairing.male_id} & set(keys):
                found.setdefault(key, []).append(pairing)
    return found


def _end(pairing: Pairing, moved: Animal, on: datetime.date) -> str:
    """End it, unless the two share water all the same; what was done in words."""
    two = [pairing.female_id, pairing.male_id]
    stays = {stay.animal_id: stay for stay in stays_over(on).filter(animal__in=two)}
    if on < pairing.introduced_on or (len(stays) == 2 and share_water(*stays.values())):
        return ""
    pairing.separated_on = on
    pairing.moved = Pairing.Moved.MALE if moved.sex == MALE else Pairing.Moved.FEMALE
    pairing.moved_to = stays[moved.pk].tank if moved.pk in stays else None
    pairing.full_clean(validate_constraints=False)
    pairing.save()
    return tell("{pair} have been apart since {day}.", pair=pairing, day=long_day(on))
