"""Species with their figures: what the table does not say is taken over, and said to be."""

from collections.abc import Sequence

from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Species
from breeding.animals.species.adding import New, add_all_species, blank_start, start_from
from breeding.animals.species.figures import MM, RULES, SHARE, Typed
from breeding.program.problems.several import Judged
from breeding.records.incoming.kinds.kept import Kept, all_together
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


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    """Each begins as the species it is like, or as any live-bearing fish."""
    blank, starts = blank_start(), {one.pk: start_from(one) for one in _liked(rows)}

    def make(facts: Facts) -> Species:
        return Species(
            accepted_name=words(facts, "accepted_name"),
            trade_name=words(facts, "trade_name"),
            law_note=words(facts, "law_note"),
            recorded_by=keeping.by,
        )

    def write(made: Sequence[Species]) -> Sequence[Judged[Species]]:
        new = [
            New(
                species,
                blank if (like := facts["like"]) is None else starts[like.pk],
                _typed(facts),
            )
            for species, facts in zip(made, rows, strict=True)
        ]
        return add_all_species(new, length_unit=keeping.program.length_unit)

    return all_together(rows, keeping, make=make, write=write)


def _liked(rows: Sequence[Facts]) -> list[Species]:
    return list({one.pk: one for facts in rows if (one := facts["like"]) is not None}.values())


def _typed(facts: Facts) -> dict[str, Typed]:
    certainty, source = facts["certainty"] or "A", words(facts, "source") or tell("assumption")
    return {
        one.key: Typed(float(facts[one.key]), certainty, source)
        for one in _FIGURES
        if facts[one.key] is not None
    }


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
    _keep_all,
    note="",
    takes=(
        *("animals.Species.accepted_name", "animals.Species.trade_name"),
        *("animals.Species.law_note", "animals.ProfileFigure.name"),
        *("animals.ProfileFigure.value", "animals.ProfileFigure.certainty"),
        "animals.ProfileFigure.source",
    ),
)
