"""A figure that lies far from those of relatives: asked about once, it may be a slip."""

from collections.abc import Iterator, Mapping

from django.db.models import Max, Min

from breeding.animals.models import ProfileFigure, Species
from breeding.animals.species.rules import DAYS, MM, rule_of
from breeding.program.problems.doubts import Doubt, threshold
from breeding.words.language import message, tell
from breeding.words.numbers import written

FAR_FROM_RELATIVES = message(
    "{figure}: {value} is far from the {span} of the other {whose} on record."
)
FAR_FROM_START = message(
    "{figure}: {value} is far from the {span} of {whose}, which it begins with."
)

Values = Mapping[str, float]
# How far figures spread and how well they are known says nothing of the species itself.
NOT_HELD_AGAINST = {"gestation_sd_days", "gestation_mean_doubt_days"}


def far_from_relatives(
    species: Species,
    values: Values,
    length_unit: str,
    start: tuple[str, Values] | None = None,
    changed: frozenset[str] | None = None,
) -> Iterator[Doubt]:
    """A doubt for each length and number of days that is far from those of the same genus.

    Without a relative on record they are held against `start`, what it begins with: its label and
    values. Only those in `changed` when given.
    """
    known, sentence, whose = _of_genus(species), FAR_FROM_RELATIVES, _genus(species)
    if not known and start is not None:
        sentence, whose = FAR_FROM_START, tell(start[0])
        known = {name: [value] for name, value in start[1].items()}
    times = threshold("figure_far_times")
    for name, value in values.items():
        rule, others = rule_of(name), [one for one in known.get(name, ()) if one > 0]
        if rule.unit not in (DAYS, MM) or not others or value <= 0:
            continue
        if name in NOT_HELD_AGAINST or (changed is not None and name not in changed):
            continue
        if not min(others) / times <= value <= max(others) * times:
            least, most = rule.shown(min(others), length_unit), rule.words(max(others), length_unit)
            span = most
            if min(others) != max(others):
                span = tell("{least} to {most}", least=written(f"{least:.6g}"), most=most)
            yield Doubt(
                tell(
                    sentence,
                    figure=rule.said,
                    value=rule.words(value, length_unit),
                    span=span,
                    whose=whose,
                )
            )


def _genus(species: Species) -> str:
    return species.accepted_name.partition(" ")[0]


def _of_genus(species: Species) -> dict[str, list[float]]:
    """The least and the most above 0 of each figure of the other species of its genus, by the
    figure's name: one query.
    """
    genus = Species.objects.filter(accepted_name__startswith=f"{_genus(species)} ")
    others = genus.exclude(pk=species.pk).exclude(profile=species.profile_id)
    figures = ProfileFigure.objects.filter(profile__in=others.values("profile"), value__gt=0)
    ends = figures.order_by().values_list("name").annotate(Min("value"), Max("value"))
    return {name: [least, most] for name, least, most in ends}
