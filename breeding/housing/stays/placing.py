"""From a day on animals are somewhere else: the stays on record make room, and all is written."""

import datetime
from collections.abc import Collection, Mapping, Sequence
from copy import copy

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.housing.stays import checks
from breeding.housing.stays.giving_way import cuts_for, give_way
from breeding.housing.stays.timeline import Spell, covering
from breeding.program.acts.together import change_together, write_together
from breeding.program.models import Person
from breeding.program.parts import in_parts
from breeding.program.problems import constraints
from breeding.words.language import tell

Date = datetime.date
Stays = dict[int, Stay]  # of an animal, by their keys
Changes = list[tuple[Stay, Stay]]  # each before and after it


def place(
    animal: Animal,
    tank: Tank | None,
    *,
    on: Date,
    by: Person | None,
    side: str = "",
    reason: str = "",
) -> Stay | None:
    """Write a move without asking what follows, or whether a divider is closed; `move_animal`."""
    return place_all([animal], tank, on=on, by=by, side=side, reason=reason)[0]


def place_all(
    animals: Sequence[Animal],
    tank: Tank | None,
    *,
    on: Date,
    by: Person | None,
    side: str = "",
    reason: str = "",
) -> list[Stay | None]:
    """The same of many at once: none is in the way of another. In few statements."""
    locked = _locked({one.pk for one in animals})
    if tank is not None:
        asked = []
        for animal in animals:
            spells = [spell_of(stay) for stay in locked[animal.pk].values()]
            asked.append((animal, checks.spell_of_move(animal, tank, side, spells, on)))
        return [*_insert(asked, locked, by=by, tank=tank, is_move=True, reason=reason)]
    _end([_stay_left(animal, locked[animal.pk], on) for animal in animals], on)
    return [None for _ in animals]


def leave_all(gone: Sequence[tuple[Animal, Date]]) -> None:
    """From a day of its own on each is in no tank: as `place` writes it."""
    locked = _locked({one.pk for one, _ in gone})
    left = [(_stay_left(animal, locked[animal.pk], on), on) for animal, on in gone]
    changes = [(copy(stay), stay) for stay, _ in left]
    for stay, on in left:
        stay.until = on
    change_together(changes, ["until"])


def insert(animal: Animal, stays: Stays, new: Spell, *, by: Person | None) -> Stay:
    """Write a stay and cut those around it. Raises ValidationError naming what is in its way."""
    return _insert([(animal, new)], {animal.pk: stays}, by=by)[0]


def locked_stays(animal: Animal) -> Stays:
    """All stays of an animal that count, oldest first, by their keys; nobody else moves it now."""
    return _locked({animal.pk})[animal.pk]


def spell_of(stay: Stay) -> Spell:
    return Spell(stay.since, stay.until, (stay.tank_id, stay.side), stay.pk)


def keep_reason(stays: Sequence[Stay], reason: str) -> None:
    """Why in spite of what was asked, with each of them."""
    changes = [(copy(stay), stay) for stay in stays if stay.reason != reason]
    for _, stay in changes:
        stay.reason = reason
    change_together(changes, ["reason"])


def _locked(keys: Collection[int]) -> dict[int, Stays]:
    found: dict[int, Stays] = {key: {} for key in keys}
    for part in in_parts(sorted(keys)):
        animals = Animal.objects.select_for_update().filter(pk__in=part).order_by("pk")
        list(animals.values_list("pk"))
        rows = Stay.objects.filter(animal__in=part).select_related("tank")
        for stay in rows.order_by("since", "pk"):
            found[stay.animal_id][stay.pk] = stay
    return found


def _stay_left(animal: Animal, stays: Stays, on: Date) -> Stay:
    """The one that it leaves for no tank."""
    checks.check_day(animal, on)
    left = covering([spell_of(stay) for stay in stays.values()], on)
    if left is None:
        raise ValidationError({"tank": tell("{animal} is already in no tank.", animal=animal.name)})
    stay = stays[left.key]
    stay.animal = animal
    return stay


def _end(stays: Sequence[Stay], on: Date) -> None:
    changes = [(copy(stay), stay) for stay in stays]
    for stay in stays:
        stay.until = on
    change_together(changes, ["until"])


def _insert(
    asked: Sequence[tuple[Animal, Spell]],
    stays: Mapping[int, Stays],
    *,
    by: Person | None,
    tank: Tank | None = None,
    is_move: bool = False,
    reason: str = "",
) -> list[Stay]:
    """tank: where all of them go, as far as it was read."""
    changes: Changes = []
    made: list[Stay] = []
    found = []
    for animal, new in asked:
        made += _cut(animal, stays[animal.pk], new, changes, is_move=is_move)
        key, side = new.place
        stay = Stay(
            animal=animal,
            tank_id=key,
            side=side,
            since=new.since,
            until=new.until,
            reason=reason,
        )
        if tank is not None:
            stay.tank = tank
        made.append(stay)
        found.append(stay)
    for stay in made:
        stay.recorded_by = by
    try:
        with constraints.named():
            change_together(changes, ["since", "until"])
            write_together(made)
    except ValidationError as problem:
        if len(asked) > 1 or not constraints.names(problem, "stay_one_open"):
            raise  # else somebody else moved it at the same moment
        raise ValidationError(
            tell(
                "{animal} is being moved by somebody else; look where it is now.",
                animal=asked[0][0].name,
            )
        ) from None
    return found


def _cut(
    animal: Animal, stays: Stays, new: Spell, changes: Changes, *, is_move: bool
) -> list[Stay]:
    """Those on record end or begin with the new one; what is left of them after it."""
    spells = [spell_of(stay) for stay in stays.values()]
    left = []
    for cut in cuts_for(animal, stays, spells, new, is_move=is_move):
        old = stays[cut.spell.key]
        old.animal = animal
        before = copy(old)
        after = give_way(old, cut)
        if after is not None:
            left.append(after)
        changes.append((before, old))
    return left
