"""The kinds of things a chronicle tells: a short closed list, each with a word of our own."""

from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import pgettext_lazy


@dataclass(frozen=True)
class Kind:
    """One kind: `key` stands in addresses and never changes, `label` on pages, in any language."""

    key: str
    label: Any = field(compare=False)


BORN = Kind("born", pgettext_lazy("kind of entry", "born"))
CAME = Kind("came", pgettext_lazy("kind of entry", "came"))
RETURNED = Kind("returned", pgettext_lazy("kind of entry", "came back"))
MEASURED = Kind("measured", pgettext_lazy("kind of entry", "measured"))
FED = Kind("fed", pgettext_lazy("kind of entry", "fed"))
PICTURED = Kind("pictured", pgettext_lazy("kind of entry", "pictured"))
AILED = Kind("ailed", pgettext_lazy("kind of entry", "ailed"))
TREATED = Kind("treated", pgettext_lazy("kind of entry", "treated"))
KEPT_APART = Kind("quarantine", pgettext_lazy("kind of entry", "quarantine"))
MOVED = Kind("moved", pgettext_lazy("kind of entry", "moved"))
SEEN = Kind("seen", pgettext_lazy("kind of entry", "seen"))
PAIRED = Kind("paired", pgettext_lazy("kind of entry", "paired"))
SCANNED = Kind("scanned", pgettext_lazy("kind of entry", "scanned"))
BIRTH = Kind("birth", pgettext_lazy("kind of entry", "birth and after"))
DECIDED = Kind("decided", pgettext_lazy("kind of entry", "held back, let go"))
RESERVED = Kind("reserved", pgettext_lazy("kind of entry", "reserved"))
PAPERS = Kind("papers", pgettext_lazy("kind of entry", "papers"))
LEFT = Kind("left", pgettext_lazy("kind of entry", "left"))
DIED = Kind("died", pgettext_lazy("kind of entry", "died"))
CORRECTED = Kind("corrected", pgettext_lazy("kind of entry", "corrected"))
WATER = Kind("water", pgettext_lazy("kind of entry", "water tested"))
WATER_CHANGED = Kind("water-changed", pgettext_lazy("kind of entry", "water changed"))
TANK_CARE = Kind("tank-care", pgettext_lazy("kind of entry", "tank seen to"))
LOOKED = Kind("looked", pgettext_lazy("kind of entry", "looked at"))
TANKS = Kind("tanks", pgettext_lazy("kind of entry", "tanks"))
BUYERS = Kind("buyers", pgettext_lazy("kind of entry", "buyers"))
ANSWERED = Kind("answered", pgettext_lazy("kind of entry", "ticked off"))
IMPORTS = Kind("imports", pgettext_lazy("kind of entry", "brought in"))
PEOPLE = Kind("people", pgettext_lazy("kind of entry", "people"))
SETTINGS = Kind("settings", pgettext_lazy("kind of entry", "settings"))
FURTHER = Kind("further", pgettext_lazy("kind of entry", "further records"))

TABLE = (
    BORN,
    CAME,
    RETURNED,
    MEASURED,
    FED,
    AILED,
    TREATED,
    KEPT_APART,
    PICTURED,
    MOVED,
    SEEN,
    PAIRED,
    SCANNED,
    BIRTH,
    DECIDED,
    RESERVED,
    PAPERS,
    LEFT,
    DIED,
    CORRECTED,
    WATER,
    LOOKED,
    TANKS,
    BUYERS,
    ANSWERED,
    IMPORTS,
    PEOPLE,
    SETTINGS,
    FURTHER,
)
KINDS = {kind.key: kind for kind in TABLE}
