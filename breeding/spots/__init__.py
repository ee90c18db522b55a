"""Who is in a picture, by its spots: arithmetic of patterns, no Django.

A page asks `read_picture` once for each picture, keeps its spots with `FINDER`, asks `untold`
whether anything can be told, `likeliest` (with `dim` where it says so) who it is, and `partners`
which spots say so. Nothing here was tried on photographs: what is found is a likelihood that a
person confirms.
"""

from breeding.spots.finding import FINDER, Reading, find_spots, read_picture
from breeding.spots.ranking import Partners, likeliest, partners
from breeding.spots.untold import Reason, untold

__all__ = [
    "FINDER",
    "Partners",
    "Reading",
    "Reason",
    "find_spots",
    "likeliest",
    "partners",
    "read_picture",
    "untold",
]
