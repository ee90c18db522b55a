"""Species with their figures: what the table does not say is taken over, and said to be."""

from typing import Any

from breeding.animals.species.adding import add_species, blank_start, start_from
from breeding.animals.species.figures import MM, RULES, SHARE, Typed
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, words
from breeding.records.incoming.meanings import Meaning, plain_words

_SORTS = {MM: "length", SHARE: "share"}
_FIGURES = tuple(
    Meaning(
        name,
        rule.label,
        (plain_words(name), plain_words(rule.label)),
        f"{rule.least:g} to {rule.most:g} {rule.unit}",
        _SORTS.get(rule.unit, "number"),
    )
    for name, rule in RULES.items()
)


def _keep(facts: Facts, keeping: Keeping) -> Any:
    """It begins as the species it is like, or as any live-bearing fish."""
    like = facts["like"]
    certainty, source = facts["certainty"] or "A", words(facts, "source") or "assumption"
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
    "species",
    "species",
    (
        Meaning(
            "accepted_name",
            "Accepted name",
            ("accepted name", "scientific name", "species", "taxon", "name", "art"),
            "genus and species",
            is_needed=True,
        ),
        Meaning(
            "trade_name", "Trade name", ("trade name", "common name", "called"), "what people say"
        ),
        Meaning(
            "like",
            "Begins as",
            ("like", "begins as", "relative", "figures of"),
            "a species on record, whose figures it takes over where the table has none",
            "species",
        ),
        Meaning("law_note", "What the law says", ("law", "law note", "listing"), "in words"),
        *_FIGURES,
        Meaning(
            "certainty", "Certainty", ("certainty",), "of its figures: P, K, C or A", "certainty"
        ),
        Meaning("source", "Source", ("source", "reference"), "of its figures"),
    ),
    _keep,
    note="",
    takes=(
        *("animals.Species.accepted_name", "animals.Species.trade_name"),
        *("animals.Species.law_note", "animals.ProfileFigure.name"),
        *("animals.ProfileFigure.value", "animals.ProfileFigure.certainty"),
        "animals.ProfileFigure.source",
    ),
)
