"""What feeding tells: rounds that were given, and what single animals made of them.

Most rounds are like the day before, and would hide what happened beside them: a chronicle that
asks for no kind tells those that somebody left. One that asks for "fed" tells all.
"""

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from breeding.feeding.models import Feeding, Meal
from breeding.feeding.rounds import feeding_words, took_words
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told, phrase
from breeding.records.chronicle.kinds import FED
from breeding.records.chronicle.source import Source
from breeding.words.language import message, tell

LEFT = (Meal.Took.NONE, Meal.Took.LITTLE)


def fed(feeding: Feeding, telling: Telling) -> Told:
    eaters = {meal.animal: meal.took for meal in feeding.meals.all()}
    made = took_words(eaters) if eaters else tell("nobody is on record")
    return Told(
        phrase(
            message("[fed]: {food}; {made_of_it}"),
            food=feeding_words(feeding, telling.program.weight_unit),
            made_of_it=made,
        ),
        subject=feeding.tank or (next(iter(eaters)) if len(eaters) == 1 else None),
        address=feeding.get_absolute_url(),
        note=feeding.note,
    )


def ate(meal: Meal, telling: Telling) -> Told:
    return Told(
        phrase(
            message("[{took}]: {food}"),
            took=meal.get_took_display(),
            food=meal.feeding.food or tell("food"),
        ),
        subject=meal.animal,
        address=meal.feeding.get_absolute_url(),
        note=meal.feeding.note,
    )


def somebody_left_it(asked: Asked) -> Q:
    if asked.kind == FED:
        return Q()
    return Q(Exists(Meal.objects.filter(feeding=OuterRef("pk"), took__in=LEFT)))


def left_it(asked: Asked) -> Q:
    """Of single animals alone: the whole program is told by rounds."""
    if asked.animals is None:
        return Q(pk__in=())
    counting = Q() if asked.withdrawn else Q(feeding__withdrawn_at__isnull=True)
    return counting if asked.kind == FED else counting & Q(took__in=LEFT)


def with_meals(rows: QuerySet[Feeding]) -> QuerySet[Feeding]:
    meals = Meal.objects.select_related("animal").order_by("pk")
    return rows.prefetch_related(Prefetch("meals", meals))


SOURCES = (
    Source(
        kind=FED,
        model=Feeding,
        day="fed_at",
        tell=fed,
        related=("food", "tank"),
        words=("food__name", "tank__name", "note"),
        only=somebody_left_it,
        prepared=with_meals,
    ),
    Source(
        kind=FED,
        model=Meal,
        day="fed_at",
        tell=ate,
        animals=("animal",),
        related=("animal", "feeding__food"),
        words=("feeding__food__name", "feeding__note"),
        only=left_it,
        written="feeding__recorded_at",
        by="feeding__recorded_by",
    ),
)
