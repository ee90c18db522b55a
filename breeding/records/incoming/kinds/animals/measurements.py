"""Measurements: one row an animal and a day."""

from collections.abc import Sequence

from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Measurement
from breeding.animals.weighing.acts import add_measurements
from breeding.records.incoming.kinds.kept import Again, Kept, all_together, known_by
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many

_FIGURES = ("disc_width_mm", "weight_g", "back_height_mm", "girth_mm", "condition")


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    def make(facts: Facts) -> Measurement:
        return Measurement(
            animal=facts["animal"],
            on=facts["on"],
            disc_width_mm=facts["disc_width"],
            weight_g=facts["weight"],
            back_height_mm=facts["back_height"],
            girth_mm=facts["girth"],
            condition=facts["condition"],
            note=words(facts, "note"),
            recorded_by=keeping.by,
        )

    again = Again[Measurement](
        lambda row: (row.animal_id, row.on, *(getattr(row, one) for one in _FIGURES)),
        lambda rows: known_by(rows, "animal", "on", *_FIGURES, found=Measurement.objects.all()),
        _twice_words,
        "on",
    )
    return all_together(rows, keeping, make=make, write=add_measurements, again=again)


def _twice_words(row: Measurement) -> str:
    return tell(
        "{animal} was measured so on {day} on record already; this writes it down twice.",
        animal=row.animal.full_name,
        day=long_day(row.on) if row.on else "",
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
    _keep_all,
    lambda facts: facts["on"],
    takes=(
        *("animals.Measurement.animal", "animals.Measurement.on", "animals.Measurement.note"),
        *("animals.Measurement.disc_width_mm", "animals.Measurement.weight_g"),
        *("animals.Measurement.girth_mm", "animals.Measurement.back_height_mm"),
        "animals.Measurement.condition",
    ),
)
