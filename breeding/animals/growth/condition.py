"""Whether an animal is light or heavy for its width, by the program's own, as it is said."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from breeding.animals.growth.weight_for_width import ENOUGH_ANIMALS, ENOUGH_POINTS
from breeding.animals.growth.weights import Usual, weighed_program
from breeding.animals.models import Animal, Measurement
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.program.plots import Series, over_years
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import percent, written
from breeding.words.sizes import GRAMS_PER_OUNCE, MM_PER_UNIT, length, weight

STEPS = 24
MOST_DOTS = 300  # of the others that are drawn
AROUND = 1.7  # so many times narrower and wider than this one
LARGE_G = 1500  # heavier ones are drawn in kg
CARRYING = message("She carried young then, or may have: her weight is not held against her width.")


@dataclass(frozen=True)
class Compared:
    """A weight beside what animals of that width weigh here."""

    share: float  # of the usual weight: 0.88 is 12 % under it
    is_light: bool
    is_heavy: bool

    @property
    def words(self) -> str:
        """In half a sentence.

        >>> Compared(0.88, True, False).words
        'light for its width: 12 % less than your own animals'
        """
        off = percent(round(abs(self.share - 1), 2))
        if self.is_light:
            return tell("light for its width: {off} less than your own animals", off=off)
        if self.is_heavy:
            return tell("heavy for its width: {off} more than your own animals", off=off)
        return tell("as heavy as usual for its width here")


def compared(usual: Usual, width_mm: float, weight_g: float) -> Compared | None:
    """None where the own animals do not tell. Light and heavy: outside of nine of ten."""
    if usual.expected_at(width_mm) is None:
        return None
    expected = usual.fit.expected(width_mm / 10)
    share = weight_g / expected.middle
    return Compared(share, weight_g < expected.low, weight_g > expected.high)


def light_words(measurement: Measurement, program: Program) -> str:
    """What a receipt says of one that is light for its width; empty for all others."""
    found = _compared_of(measurement)
    if found is None or not found.is_light:
        return ""
    return f"{measurement.animal.name}: " + found.words + "."


def _compared_of(measurement: Measurement) -> Compared | None:
    width, grams = measurement.disc_width_mm, measurement.weight_g
    known = weighed_program()
    usual = known.usual_of(measurement.animal)
    if not width or not grams or usual is None:
        return None
    if known.may_carry(measurement.animal, measurement.on):
        return None
    return compared(usual, width, grams)


@dataclass(frozen=True)
class WeightSaid:
    """What an animal's page says of its weight for its width, and the drawing."""

    picture: SafeString
    sentences: Sequence[str]
    is_light: bool


def weight_said(
    animal: Animal, measurements: Sequence[Measurement], program: Program
) -> WeightSaid | None:
    """Of its latest measurement with both; None where there is none. A few queries."""
    both = [one for one in measurements if one.disc_width_mm and one.weight_g]
    if not both:
        return None
    known = weighed_program()
    usual = known.usual_of(animal)
    last = both[0]  # the latest stands first
    if known.may_carry(animal, last.on):
        picture = _picture(animal, both, usual, program) if usual and usual.fit.is_enough else ""
        return WeightSaid(mark_safe(picture), [tell(CARRYING)], is_light=False)  # noqa: S308
    if usual is None or not usual.fit.is_enough:
        return WeightSaid(SafeString(""), [_not_yet(usual)], is_light=False)
    found = compared(usual, last.disc_width_mm or 0, last.weight_g or 0)
    picture = _picture(animal, both, usual, program)
    said = [_sentence(last, found, program), _ground(usual)]
    return WeightSaid(
        mark_safe(picture),  # noqa: S308  (numbers only)
        said,
        is_light=found is not None and found.is_light,
    )


def _sentence(last: Measurement, found: Compared | None, program: Program) -> str:
    sizes = _sizes(last, program)
    if found is None:
        return tell(
            "{sizes}: no animal of about this width has been weighed here yet.", sizes=sizes
        )
    return f"{sizes}: {found.words}."


def _sizes(last: Measurement, program: Program) -> str:
    grams = weight(last.weight_g, program.weight_unit)
    width = length(last.disc_width_mm, program.length_unit)
    if last.on is None:
        return tell("{weight} at {width}", weight=grams, width=width)
    return tell("{weight} at {width} on {day}", weight=grams, width=width, day=long_day(last.on))


def _ground(usual: Usual) -> str:
    fit = usual.fit
    return tell_many(
        "By {points} points of {number} animal of this program: weight in g is {factor} times the "
        "{size} in cm to the power of {power}. Nine of ten animals lie in the band.",
        "By {points} points of {number} animals of this program: weight in g is {factor} times the "
        "{size} in cm to the power of {power}. Nine of ten animals lie in the band.",
        fit.animals,
        points=fit.points,
        factor=written(f"{fit.factor:.3g}"),
        size=kind_words().size_said,
        power=written(f"{fit.power:.2f}"),
    )


def _not_yet(usual: Usual | None) -> str:
    points, animals = (usual.fit.points, usual.fit.animals) if usual else (0, 0)
    return tell_many(
        "Weight is held against width from {least_points} points of {least_animals} animals of its "
        "kind on; {points} of {number} animal are on record.",
        "Weight is held against width from {least_points} points of {least_animals} animals of its "
        "kind on; {points} of {number} animals are on record.",
        animals,
        least_points=ENOUGH_POINTS,
        least_animals=ENOUGH_ANIMALS,
        points=points,
    )


def _picture(animal: Animal, both: Sequence[Measurement], usual: Usual, program: Program) -> str:
    """Its points among those of the others, with the band."""
    fit, its = usual.fit, [(one.disc_width_mm or 0) / 10 for one in both]
    narrowest, widest = min(its) / AROUND, max(its) * AROUND
    first, last = max(narrowest, fit.narrowest_cm), min(widest, fit.widest_cm)
    if first >= last:
        return ""
    cm = MM_PER_UNIT[program.length_unit] / 10
    unit, gram = _unit(program.weight_unit, fit.weight(last))
    own = [(width / cm, (one.weight_g or 0) / gram) for width, one in zip(its, both, strict=True)]
    others = [
        (width / cm, grams / gram)
        for key, width, grams in usual.points
        if key != animal.pk and narrowest <= width <= widest
    ]
    every, size = max(1, -(-len(others) // MOST_DOTS)), kind_words().size_said
    widths = [first + k * (last - first) / STEPS for k in range(STEPS + 1)]
    band = [(width, fit.expected(width)) for width in widths]
    told = "; ".join(
        tell("{weight} at {width}", weight=written(f"{grams:.4g}"), width=written(f"{width:.4g}"))
        for width, grams in own[:12]
    )
    series = [
        Series(
            tell("Usual"),
            [(width / cm, one.middle / gram) for width, one in band],
            band=[(width / cm, one.low / gram, one.high / gram) for width, one in band],
            has_marks=False,
            told=tell("The curve of the program's own animals with the band of nine of ten."),
        ),
        Series(
            tell("This one"),
            own,
            style="line-b",
            has_line=False,
            told=tell("This one: {sizes}.", sizes=told),
        ),
    ]
    return over_years(
        series,
        id=f"weight-{animal.pk}",
        title=tell("Weight by {size}: this one among the others", size=size),
        unit=tell(
            "{weight_unit}, by {length_unit} of {size}",
            weight_unit=unit,
            length_unit=program.length_unit,
            size=size,
        ),
        as_percent=False,
        points=others[::every],
        height=200,
    )


def _unit(unit: str, most_g: float) -> tuple[str, float]:
    """The unit that a drawing up to such a weight has, and how many g it is."""
    if unit == "oz":
        return ("lb", 16 * GRAMS_PER_OUNCE) if most_g > LARGE_G else ("oz", GRAMS_PER_OUNCE)
    return ("kg", 1000.0) if most_g > LARGE_G else ("g", 1.0)
