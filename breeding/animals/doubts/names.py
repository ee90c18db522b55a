"""Two animals of one call name: asked about, for whoever reads a name takes it for one animal."""

from collections.abc import Iterator, Mapping

from django.db.models import QuerySet

from breeding.animals.models import Animal
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.namesakes import Namesakes, doubts_of_namesakes
from breeding.words.language import message

_QUESTION = message("An animal called {other.full_name} is on record already; is this another one?")


def doubts_of_call_name(call_name: str, *, besides: Animal | None = None) -> Iterator[Doubt]:
    """Each animal on record, here or not, that is called so already: one query."""
    if not call_name.strip():
        return
    named = _named().exclude(pk=besides.pk if besides else 0)
    yield from doubts_of_namesakes(call_name, named, _QUESTION, field="call_name")


def doubts_of_call_names(names: Mapping[int, str]) -> Iterator[tuple[int, Doubt]]:
    """The same of many new animals, by their keys: one query for all of them."""
    if not any(name.strip() for name in names.values()):
        return
    there = Namesakes(_named())
    for key, name in names.items():
        for doubt in doubts_of_namesakes(name, there.of(name), _QUESTION, field="call_name"):
            yield key, doubt


def _named() -> QuerySet[Animal]:
    return Animal.objects.exclude(call_name="").only("pk", "code", "call_name")
