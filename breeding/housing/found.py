"""What of tanks and water can be found, and where an animal that was found lives."""

from collections.abc import Collection

from breeding.housing.models import (
    Stay,
    Tank,
    TankWork,
    WaterChange,
    WaterSource,
    WaterSystem,
    WaterTest,
)
from breeding.program.found import Found

FOUND = (
    Found("tank", Tank, "tanks", names=("name",), texts=("note",), template="housing/_found.html"),
    Found("water_system", WaterSystem, "tanks", names=("name",), texts=("note",)),
    Found("water_source", WaterSource, "tanks", names=("name",), texts=("prepared", "note")),
    Found("water_test", WaterTest, "notes", texts=("note",)),
    Found("water_change", WaterChange, "notes", texts=("note",)),
    Found("tank_work", TankWork, "notes", texts=("note",)),
    Found("stay", Stay, "notes", texts=("reason",)),
)


def where_it_lives(keys: Collection[int]) -> dict[int, str]:
    """The tank each of these animals is in today, by its key: one query."""
    stays = Stay.objects.filter(animal__in=keys, until__isnull=True).select_related("tank")
    return {one.animal_id: one.tank.name for one in stays}
