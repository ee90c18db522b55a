"""Species with their figures: what the table does not say is taken over, and said to be."""

from typing import Any

from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from breeding.animals.species.adding import add_species, blank_start, start_from
from breeding.animals.species.figures import MM, RULES, SHARE, Typed
from breeding.records.incoming.kinds.kept import one_by_one
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, words
from breeding.records.incoming.meanings import Meaning, as_written, plain_words
from breeding.words.language import tell, tell_many
from breeding.words.numbers import written

_written = lazy(written, str)
_SORTS = {MM: "length", SHARE: "share"}
_FIGURES = tuple(
    Meaning(
        name,
        _(rule.label),
        (plain_words(name), plain_words(as_written(rule.label))),
        format_lazy(
            _("{least} to {most} {unit}"),
            least=_written(f"{rule.least:g}"),
            most=_written(f"{rule.most:g}"),
            unit=_(rule.unit) if rule.unit else "",
        ),
        _SORTS.get(rule.unit, "number"),
    )
    for name, rule in RULES.items()
)


def _keep(facts: Facts, keeping: Keeping) -> Any:
    """It begins as the species it is like, or as any live-bearing fish."""
    like = facts["like"]
    certainty, source = facts["certainty"] or "A", words(facts, "source") or tell("assumption")
    return add_species(
        by=keeping.by,
        start=blank_start() if like is None else start_from(like),
        typed={
            one.key: Typed(float(facts[one.key]), certainty, source)
            for one in _FIGURES
            if facts[one.key] is not None
        },
        length_unit=keeping.program.length_unit,
        sure=keeping.sure,
        accepted_name=words(facts, "accepted_name"),
        trade_name=words(facts, "trade_name"),
        law_note=words(facts, "law_note"),
    )


SPECIES = Kind(
    "species",
    _("species"),
    _("species"),
    lambda number: tell_many("{number} species", "{number} species", number),
    (
        Meaning(
            "accepted_name",
            _("Accepted name"),
            ("accepted name", "scientific name", "species", "taxon", "name", "art"),
            _("genus and species"),
            is_needed=True,
        ),
        Meaning(
            "trade_name",
            _("Trade name"),
            ("trade name", "common name", "called"),
            _("what people say"),
        ),
        Meaning(
            "like",
            _("Begins as"),
            ("like", "begins as", "relative", "figures of"),
            _("a species on record, whose figures it takes over where the table has none"),
            "species",
        ),
        Meaning("law_note", _("What the law says"), ("law", "law note", "listing"), _("in words")),
        *_FIGURES,
        Meaning(
            "certainty",
            _("Certainty"),
            ("certainty",),
            _("of its figures: P, K, C or A"),
            "certainty",
        ),
        Meaning("source", _("Source"), ("source", "reference"), _("of its figures")),
    ),
    one_by_one(_keep),
    note="",
    takes=(
        *("animals.Species.accepted_name", "animals.Species.trade_name"),
        *("animals.Species.law_note", "animals.ProfileFigure.name"),
        *("animals.ProfileFigure.value", "animals.ProfileFigure.certainty"),
        "animals.ProfileFigure.source",
    ),
)
