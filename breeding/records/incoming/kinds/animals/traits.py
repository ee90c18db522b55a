"""What animals show of a trait, as it was written down elsewhere."""

from collections.abc import Sequence

from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.records.incoming.kinds.kept import Again, Kept, all_together, known_by
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.traits.models import TraitLook
from breeding.traits.services import write_all_looks
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    def make(facts: Facts) -> TraitLook:
        return TraitLook(
            trait=facts["trait"],
            animal=facts["animal"],
            what=facts["what"],
            on=facts["on"],
            looked_by=words(facts, "looked_by").strip(),
            sure_percent=100 if facts["sure_percent"] is None else facts["sure_percent"],
            note=words(facts, "note").strip(),
            recorded_by=keeping.by,
        )

    again = Again[TraitLook](
        lambda row: (row.animal_id, row.trait_id, row.on, row.what),
        lambda rows: known_by(rows, "animal", "trait", "on", "what", found=TraitLook.objects.all()),
        _twice_words,
        "on",
    )
    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: write_all_looks(made, today=keeping.today),
        again=again,
    )


def _twice_words(row: TraitLook) -> str:
    return tell(
        "{animal}, {trait} of {day} is on record already; this writes it down twice.",
        animal=row.animal.full_name,
        trait=row.trait,
        day=long_day(row.on),
    )


TRAIT_LOOKS = Kind(
    "traits",
    _("look at a trait"),
    _("looks at a trait"),
    lambda number: tell_many("{number} look at a trait", "{number} looks at a trait", number),
    (
        animal("animal", "code", "id", "name", "ray", "who", "tier"),
        Meaning(
            "trait",
            _("Trait"),
            ("trait", "gene", "allele", "mutation", "merkmal"),
            _("the name of a trait on record"),
            "trait",
            is_needed=True,
        ),
        Meaning(
            "what",
            _("What was seen"),
            ("seen", "shows", "shown", "phenotype", "visual", "genotype", "tested", "result"),
            _("shows, does not, not yet; or a test: 0 copies, 1 copy, 2 copies"),
            "trait_seen",
            is_needed=True,
        ),
        Meaning(
            "on",
            pgettext_lazy("a column of a table", "On"),
            ("on", "date", "day", "seen on", "tested on", "datum"),
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning(
            "looked_by",
            _("Who looked, or which laboratory"),
            ("looked by", "seen by", "laboratory", "lab", "tested by"),
            _("a name"),
        ),
        Meaning(
            "sure_percent",
            _("How sure, in per cent"),
            ("sure", "how sure", "certainty", "accuracy"),
            _("a number from 51 to 100; empty for certain"),
            "count",
        ),
        NOTE,
    ),
    _keep_all,
    lambda facts: facts["on"],
    takes=tuple(
        f"traits.TraitLook.{name}"
        for name in ("animal", "trait", "what", "on", "looked_by", "sure_percent", "note")
    ),
)
