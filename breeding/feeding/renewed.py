"""Of whom a row that is written daily says how it eats."""

from collections.abc import Collection, Mapping

from django.db.models import Model

from breeding.animals.changed import animals_written
from breeding.animals.models import Animal, Measurement
from breeding.feeding.models import Feeding, Meal
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.each import About
from breeding.program.unchanged.growing import Matters


def fed(written: Written) -> set[int]:
    return {key for (key,) in written.told(Meal.objects.all(), "animal_id")}


def fed_in_rounds(written: Written) -> set[int]:
    """A round that was added says what its meals say; one that was changed or withdrawn is about
    all that it fed."""
    if not written.before:
        return set()
    return set(Meal.objects.filter(feeding__in=written.changed).values_list("animal", flat=True))


def measured(written: Written) -> Collection[int]:
    return {key for (key,) in written.told(Measurement.every.all(), "animal_id")}


# By the tables of which it is told what was written, of whom their rows say how it eats.
# Rooms above add theirs (`queries.py::add_seen`).
RENEWED: dict[type[Model], About] = {
    Animal: animals_written,
    Meal: fed,
    Measurement: measured,
    Feeding: fed_in_rounds,
}


def silence_renewed() -> Mapping[type[Model], Matters]:
    """Whether a row of a table that was written changes whom `silent` or `leaving_again` name.

    A round says of its whole tank that it was fed: any does.
    """

    def about_somebody(about: About) -> Matters:
        def changes(written: Written) -> bool:
            animals = about(written)
            return animals is None or bool(animals)

        return changes

    rest = {model: about for model, about in RENEWED.items() if model is not Feeding}
    return {model: about_somebody(about) for model, about in rest.items()}
