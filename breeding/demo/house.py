"""The demonstration's house: where each of its tanks stands, one of them in a room of its own."""

from breeding.demo.acts import House
from breeding.housing.house.arranging import arrange_tanks

QUARANTINE_ROOM = "Quarantine room"
# Of each tank: centimetres from the left wall and from the back wall, and whether it is turned.
STANDS = {
    "Boat Loft": (30, 60, False),
    "Port Side": (830, 60, False),
    "Keel Pool": (30, 500, False),
    "Slipway": (470, 500, False),
    "Bow": (920, 500, False),
    "Stern": (1260, 500, False),
    "Lantern Window": (30, 845, False),
    "Sail Locker": (370, 845, False),
    "Galley": (710, 845, False),
    "Chart Room": (990, 845, False),
    "Rope Locker": (1270, 845, False),
    "Landing Stage": (40, 50, False),
}


def arrange(house: House) -> None:
    """All of them at once, as a keeper does who has drawn the house on paper before."""
    stands = {
        house.tanks[name].pk: {
            "stands_in": QUARANTINE_ROOM if name == "Landing Stage" else "",
            "from_left_mm": 10 * left,
            "from_back_mm": 10 * back,
            "is_turned": is_turned,
        }
        for name, (left, back, is_turned) in STANDS.items()
    }
    arrange_tanks(stands, house.tanks.values())
