"""What a pairing can be: who with whom, on which days, and from when on a reason is asked for."""

import datetime
from collections.abc import Callable, Iterable

from django.core.exceptions import ValidationError

from breeding.animals.away.here import check_was_here
from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.animals.parents.descent import short_inbreeding_of_young
from breeding.pairings.models import Pairing
from breeding.program.models import Program
from breeding.program.services import refuse_withdrawn
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import percent

MOST_PLANNED_DAYS = 1096  # three years: nobody plans a pairing, or a rest, for longer


def check_pairing(
    pairing: Pairing,
    others: Iterable[Pairing],
    *,
    known: Lineage,
    kinship: Callable[[int, int], float],
    program: Program,
    today: datetime.date,
    until: datetime.date | None,
) -> None:
    """Raise ValidationError, by field, for one that cannot be, or needs a reason and has none.

    The two are as they were read for this act. others: pairings of the two on record. kinship: of
    male and female, asked only of two that count. until: when they were parted, where that is
    known. The F expected of their young is written into it.
    """
    female, male, on = pairing.female, pairing.male, pairing.introduced_on
    for animal in (female, male):
        refuse_withdrawn(animal)
    check_two(female, male)
    if on > today:
        words = tell("{day} is still to come; enter it on the day.", day=long_day(on))
        raise ValidationError({"introduced_on": words})
    for animal in (female, male):
        check_was_here(animal, on, "introduced_on")
    check_plan(on, pairing.separation_planned_on)
    refuse_together(female, male, on, until, others)
    inbreeding = kinship(male.pk, female.pk)
    if inbreeding >= program.inbreeding_needs_reason and not pairing.reason:
        raise ValidationError(
            {
                "reason": tell(
                    "The young of {female} and {male} would have F {inbreeding}. From {limit} on "
                    "this program asks for a reason.",
                    female=female.name,
                    male=male.name,
                    inbreeding=short_inbreeding_of_young(known, male.pk, female.pk),
                    limit=percent(program.inbreeding_needs_reason),
                )
            }
        )
    pairing.inbreeding_expected = inbreeding


def check_parting(pairing: Pairing, on: datetime.date, today: datetime.date) -> None:
    """Raise ValidationError for a day on which the two cannot have been parted."""
    if on < pairing.introduced_on:
        raise ValidationError(
            {
                "on": tell(
                    "{day} is before they were introduced ({introduced}).",
                    day=long_day(on),
                    introduced=long_day(pairing.introduced_on),
                )
            }
        )
    if on > today:
        raise ValidationError(
            {"on": tell("{day} is still to come; today or before.", day=long_day(on))}
        )


def check_two(female: Animal, male: Animal) -> None:
    """Raise ValidationError unless these are a female and a male."""
    if female == male:
        raise ValidationError(tell("{female} cannot be paired with herself.", female=female.name))
    if female.sex != Animal.Sex.FEMALE:
        raise ValidationError(
            {"female": tell("{female} is not recorded as a female.", female=female.name)}
        )
    if male.sex != Animal.Sex.MALE:
        raise ValidationError({"male": tell("{male} is not recorded as a male.", male=male.name)})


def check_not_together_already(
    female: Animal,
    male: Animal,
    introduced_on: datetime.date,
    separated_on: datetime.date | None,
    *,
    besides: Pairing | None = None,
) -> None:
    """Raise ValidationError when another pairing of the two, but for `besides`, shares its time."""
    others = Pairing.objects.filter(female=female, male=male, withdrawn_at__isnull=True)
    if besides is not None:
        others = others.exclude(pk=besides.pk)
    refuse_together(female, male, introduced_on, separated_on, others)


def refuse_together(
    female: Animal,
    male: Animal,
    introduced_on: datetime.date,
    separated_on: datetime.date | None,
    others: Iterable[Pairing],
) -> None:
    """Raise ValidationError when one of these other pairings of the two shares its time."""
    until = separated_on or datetime.date.max
    for other in others:
        ends = other.separated_on or datetime.date.max
        if introduced_on < ends and other.introduced_on < until:
            named = {
                "female": female.name,
                "male": male.name,
                "since": long_day(other.introduced_on),
            }
            if other.separated_on:
                said = tell(
                    "{female} and {male} are recorded as together from {since} to {until} already.",
                    **named,
                    until=long_day(other.separated_on),
                )
            else:
                said = tell(
                    "{female} and {male} are recorded as together from {since} until now already.",
                    **named,
                )
            raise ValidationError({"introduced_on": said})


def check_plan(introduced_on: datetime.date, planned_on: datetime.date | None) -> None:
    """Raise ValidationError when the two cannot be meant to part on this day."""
    if planned_on is None:
        return
    if planned_on < introduced_on:
        raise ValidationError(
            {
                "separation_planned_on": tell(
                    "{day} is before they were introduced ({introduced}).",
                    day=long_day(planned_on),
                    introduced=long_day(introduced_on),
                )
            }
        )
    if (planned_on - introduced_on).days > MOST_PLANNED_DAYS:
        raise ValidationError(
            {
                "separation_planned_on": tell(
                    "{day} is more than {number} days after they were "
                    "introduced; choose an earlier day.",
                    day=long_day(planned_on),
                    number=MOST_PLANNED_DAYS,
                )
            }
        )
