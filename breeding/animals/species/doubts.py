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
Ends = dict[str, tuple[float, float]]  # the least and the most above 0 of each figure
# How far figures spread and how well they are known says nothing of the species itself.
NOT_HELD_AGAINST = {"gestation_sd_days", "gestation_mean_doubt_days"}


def far_from_relatives(
    species: Species,
    values: Values,
    length_unit: str,
    start: tuple[str, Values] | None = None,
    changed: frozenset[str] | None = None,
    known: Ends | None = None,
) -> Iterator[Doubt]:
    """A doubt for each length and number of days that is far from those of the same genus.

    Without a relative on record they are held against `start`, what it begins with: its label and
    values. Only those in `changed` when given. known: those of its genus, where they are read.
    """
    known = _of_genus(species) if known is None else known
    sentence, whose = FAR_FROM_RELATIVES, _genus(species)
    if not known and start is not None:
        sentence, whose = FAR_FROM_START, tell(start[0])
        known = {name: (value, value) for name, value in start[1].items() if value > 0}
    times = threshold("figure_far_times")
    for name, value in values.items():
        ends, rule = known.get(name), rule_of(name)
        if rule.unit not in (DAYS, MM) or ends is None or value <= 0:
            continue
        if name in NOT_HELD_AGAINST or (changed is not None and name not in changed):
            continue
        if not ends[0] / times <= value <= ends[1] * times:
            least, most = rule.shown(ends[0], length_unit), rule.words(ends[1], length_unit)
            span = most
            if ends[0] != ends[1]:
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


class Relatives:
    """The figures of each genus on record, and of those that are written down meanwhile."""

    def __init__(self) -> None:
        self._of_genus: dict[str, Ends] = {}

    def of(self, species: Species) -> Ends:
        """Those of the other species of its genus, by the figure's name."""
        genus = _genus(species).casefold()
        if genus not in self._of_genus:
            self._of_genus[genus] = _of_genus(species)
        return self._of_genus[genus]

    def add(self, species: Species, values: Values) -> None:
        """One that is a relative from now on."""
        if species.accepted_name == _genus(species):
            return  # a name of one word is of no genus
        known = self.of(species)
        for name, value in values.items():
            if value > 0:
                least, most = known.get(name, (value, value))
                known[name] = min(least, value), max(most, value)


def _genus(species: Species) -> str:
    return species.accepted_name.partition(" ")[0]


def _of_genus(species: Species) -> Ends:
    """Those of the other species of its genus, its name in letters great or small: one query."""
    genus = Species.objects.filter(accepted_name__istartswith=f"{_genus(species)} ")
    others = genus.exclude(pk=species.pk).exclude(profile=species.profile_id)
    figures = ProfileFigure.objects.filter(profile__in=others.values("profile"), value__gt=0)
    ends = figures.order_by().values_list("name").annotate(Min("value"), Max("value"))
    return {name: (least, most) for name, least, most in ends}
