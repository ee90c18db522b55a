"""Pairings: a female and a male together, from when to when."""

from collections.abc import Sequence

from django.utils.translation import gettext_lazy as _

from breeding.pairings.many import record_pairings
from breeding.pairings.models import Pairing
from breeding.records.incoming.kinds.kept import Kept, all_together
from breeding.records.incoming.kinds.kind import NOTE, Facts, Keeping, Kind, animal, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell_many


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """Those that are over, and those that go on, which are asked about."""

    def make(facts: Facts) -> Pairing:
        return Pairing(
            female=facts["female"],
            male=facts["male"],
            introduced_on=facts["introduced_on"],
            separated_on=facts["separated_on"],
            reason=words(facts, "reason").strip(),
            note=words(facts, "note").strip(),
            recorded_by=keeping.by,
        )

    return all_together(
        rows,
        keeping,
        make=make,
        write=lambda made: record_pairings(made, program=keeping.program, today=keeping.today),
    )


PAIRINGS = Kind(
    "pairings",
    _("pairing"),
    _("pairings"),
    lambda number: tell_many("{number} pairing", "{number} pairings", number),
    (
        animal(
            "female", "dam", "mother", "hen", "her", "weibchen", label=_("Female"), key="female"
        ),
        animal("male", "sire", "father", "cock", "him", "männchen", label=_("Male"), key="male"),
        Meaning(
            "introduced_on",
            _("Together from"),
            (
                *("introduced", "introduced on", "together", "together from", "from", "paired"),
                *("paired on", "start", "since", "date", "put together", "von"),
            ),
            _("a full date"),
            "day",
            is_needed=True,
        ),
        Meaning(
            "separated_on",
            _("Apart from"),
            ("separated", "separated on", "apart", "until", "to", "end", "parted", "bis"),
            _("a full date; empty while they are together"),
            "day",
        ),
        Meaning("reason", _("Why in spite of their kinship"), ("reason", "why"), _("in words")),
        NOTE,
    ),
    _keep_all,
    lambda facts: facts["introduced_on"],
    takes=(
        *("pairings.Pairing.female", "pairings.Pairing.male", "pairings.Pairing.introduced_on"),
        *("pairings.Pairing.separated_on", "pairings.Pairing.reason", "pairings.Pairing.note"),
    ),
)
