"""Weight a female has lost since her last birth, and what it suggests, in words."""

from breeding.animals.growth.weight import WeightLoss, weight_loss
from breeding.animals.models import Measurement
from breeding.pairings.models import Outcome
from breeding.pairings.season.reading import SeasonReading
from breeding.program.models import Program
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import percent
from breeding.words.sizes import weight


def weight_loss_of(season: SeasonReading) -> WeightLoss | None:
    """From her heaviest weight since her last birth, of the last 90 days: one query."""
    births = [one.on for one in season.outcomes if one.kind in Outcome.BIRTHS]
    rows = Measurement.objects.filter(
        animal=season.female, weight_g__isnull=False, on__isnull=False
    )
    weights = [(on, grams) for on, grams in rows.values_list("on", "weight_g") if on and grams]
    return weight_loss(weights, asof=season.asof, after=max(births, default=None))


def weight_loss_words(season: SeasonReading, program: Program) -> str:
    """What a loss from the program's threshold on suggests; nothing below it."""
    loss = weight_loss_of(season)
    if loss is None or loss.share < program.weight_loss_caution:
        return ""
    unit = program.weight_unit
    lost = tell(
        "Lost {percent} of her weight since {since}: {before} then, {weight} on {day}.",
        percent=percent(round(loss.share, 3)),
        since=long_day(loss.heaviest_on),
        before=weight(loss.heaviest_g, unit),
        weight=weight(loss.latest_g, unit),
        day=long_day(loss.latest_on),
    )
    if season.together_since is not None:
        look = tell(
            "Look at her feeding and condition, and weigh her again; a male that harasses her can "
            "be the cause, so consider separating them."
        )
    else:
        look = tell("Look at her feeding and condition, and weigh her again.")
    return f"{lost} {look} {tell('If it goes on: an aquatic veterinarian.')}"
