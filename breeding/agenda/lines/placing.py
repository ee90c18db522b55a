"""The line of animals that are in no tank on record, as after a table was brought in."""

from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.animals.models import Animal
from breeding.housing.queries import present_stays
from breeding.words.numbers import counted, some

FEWEST = 5  # fewer are placed one by one, and who uses no tanks is not asked
_NAMED = 6


def placing_lines(gathered: Gathered) -> Iterator[Line]:
    """One line for all who are here and in no tank; another one comes when more do."""
    inside = present_stays().values("animal")
    here = Animal.objects.filter(state=Animal.State.HERE).exclude(pk__in=inside)
    found = list(here.select_related("portrait").order_by("code"))
    if len(found) < FEWEST:
        return
    newest = max(one.pk for one in found)
    yield write_line(
        KINDS["in_no_tank"],
        mark=f"{newest}",
        on=gathered.today,
        today=gathered.today,
        who=counted(len(found), "animal"),
        why=f"Company, kin and water are reckoned by tanks. In none on record: "
        f"{some([one.name for one in found], _NAMED)}.",
        animal=found[0],
        facts={},
    )
