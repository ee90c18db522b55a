"""The kinds of things a chronicle tells: a short closed list, each with a word of our own."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Kind:
    """One kind: `key` stands in addresses and never changes, `label` on pages."""

    key: str
    label: str


BORN = Kind("born", "born")
CAME = Kind("came", "came")
RETURNED = Kind("returned", "came back")
MEASURED = Kind("measured", "measured")
FED = Kind("fed", "fed")
PICTURED = Kind("pictured", "pictured")
AILED = Kind("ailed", "ailed")
TREATED = Kind("treated", "treated")
KEPT_APART = Kind("quarantine", "quarantine")
MOVED = Kind("moved", "moved")
SEEN = Kind("seen", "seen")
PAIRED = Kind("paired", "paired")
SCANNED = Kind("scanned", "scanned")
BIRTH = Kind("birth", "birth and after")
DECIDED = Kind("decided", "held back, let go")
RESERVED = Kind("reserved", "reserved")
PAPERS = Kind("papers", "papers")
LEFT = Kind("left", "left")
DIED = Kind("died", "died")
CORRECTED = Kind("corrected", "corrected")
WATER = Kind("water", "water tested")
WATER_CHANGED = Kind("water-changed", "water changed")
TANK_CARE = Kind("tank-care", "tank seen to")
LOOKED = Kind("looked", "looked at")
TANKS = Kind("tanks", "tanks")
BUYERS = Kind("buyers", "buyers")
ANSWERED = Kind("answered", "ticked off")
IMPORTS = Kind("imports", "brought in")
PEOPLE = Kind("people", "people")
SETTINGS = Kind("settings", "settings")
FURTHER = Kind("further", "further records")

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
