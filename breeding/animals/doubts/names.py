"""Two animals of one call name: asked about, for whoever reads a name takes it for one animal."""

from collections.abc import Iterator

from breeding.animals.models import Animal
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.namesakes import doubts_of_namesakes
from breeding.words.language import tell


def doubts_of_call_name(call_name: str, *, besides: Animal | None = None) -> Iterator[Doubt]:
    """Each animal on record, here or not, that is called so already: one query."""
    if not call_name.strip():
        return
    others = Animal.objects.exclude(call_name="").exclude(pk=besides.pk if besides else 0)
    named = others.only("pk", "code", "call_name")
    yield from doubts_of_namesakes(
        call_name,
        named,
        tell("An animal called {other.full_name} is on record already; is this another one?"),
        field="call_name",
    )
