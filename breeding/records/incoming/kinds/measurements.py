"""Measurements: one row an animal and a day."""

from typing import Any

from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Measurement
from breeding.animals.services import add_measurement
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many


def _keep(facts: Facts, keeping: Keeping) -> Any:
    one, on = facts["animal"], facts["on"]
    figures = {
        "disc_width_mm": facts["disc_width"],
        "weight_g": facts["weight"],
        "back_height_mm": facts["back_height"],
        "girth_mm": facts["girth"],
        "condition": facts["condition"],
    }
    keeping.ask_when(
        Measurement.objects.filter(animal=one, on=on, **figures).exists(),
        tell(
            "{animal} was measured so on {day} on record already; this writes it down twice.",
            animal=one.full_name,
            day=long_day(on),
        ),
        "on",
    )
    return add_measurement(
        one, by=keeping.by, on=on, note=words(facts, "note"), sure=keeping.sure, **figures
    )


MEASUREMENTS = Kind(
    "measurements",
    _("measurement"),
    _("measurements"),
    lambda number: tell_many("{number} measurement", "{number} measurements", number),
    (
        animal("animal", "code", "id", "name", "ray", "who", "tier"),
        Meaning(
            "on",
            _("Measured on"),
            ("date", "day", "on", "measured", "measured on", "when", "weighed on", "datum"),
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning(
            "disc_width",
            _("Disc width"),
            ("disc width", "disk width", "width", "dw", "size", "disc", "breite"),
            _("a number, or one with its unit"),
            "length",
        ),
        Meaning(
            "weight",
            _("Weight"),
            ("weight", "mass", "gewicht"),
            _("a number, or one with its unit"),
            "weight",
        ),
        Meaning(
            "back_height",
            _("Back height"),
            ("back height", "back", "height", "höhe"),
            _("a number, or one with its unit"),
            "length",
        ),
        Meaning(
            "girth", _("Girth"), ("girth", "umfang"), _("a number, or one with its unit"), "length"
        ),
        Meaning(
            "condition",
            _("Condition"),
            ("condition", "body condition", "score", "bcs"),
            _("1 to 5"),
            "count",
        ),
        NOTE,
    ),
    _keep,
    lambda facts: facts["on"],
    takes=(
        *("animals.Measurement.animal", "animals.Measurement.on", "animals.Measurement.note"),
        *("animals.Measurement.disc_width_mm", "animals.Measurement.weight_g"),
        *("animals.Measurement.girth_mm", "animals.Measurement.back_height_mm"),
        "animals.Measurement.condition",
    ),
)
