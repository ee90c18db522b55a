"""Whether all that can be found is found: the index held against the records."""

from collections.abc import Iterator

from breeding.finding.index import building
from breeding.records.checking.finding import Finding
from breeding.records.checking.gathered import Gathered
from breeding.words.language import message, tell, tell_many

ANEW = message("Run `manage.py rebuild_index`, which makes it anew from the records.")


def index_of_finding(gathered: Gathered) -> Iterator[Finding]:
    """Names and texts that finding would miss, and those that stand in no record any more."""
    if not building.is_whole():
        yield Finding(
            tell("the index of finding"),
            tell("A part of it is not there."),
            " ".join((tell("Start Rayward once: `manage.py start` makes it."), tell(ANEW))),
        )
        return
    for kind, (lacking, too_much) in building.differences().items():
        words = tell(
            "{not_found}, {out_of_date}.",
            not_found=tell_many("{number} text not found", "{number} texts not found", lacking),
            out_of_date=tell_many(
                "{number} text out of date", "{number} texts out of date", too_much
            ),
        )
        record = tell("the index of finding, {kind}", kind=kind.replace("_", " "))
        yield Finding(record, words, tell(ANEW))
