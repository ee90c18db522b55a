"""Which pictures on record are worth a closer look: blurred maps compared all at once; pure.

The spots of a picture become a coarse map in the disc's frame. The map of the picture in question,
in many small moves of the disc, is compared with all maps on record by one product of matrices.
Triangles of spots (Groth 1986, Astron J 91:1244-1252; Valdes et al. 1995, Publ Astron Soc Pac
107:1119-1128) need no frame, but the taps give one, and a map bears bending and missing spots.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Maps = NDArray[np.float32]

CELLS = 24
BLUR = 0.085  # half widths
LINE = ((np.arange(CELLS) + 0.5) / CELLS * 2 - 1).astype(np.float32) * 1.1
TURNS = np.radians([-12, -6, 0, 6, 12])
SHIFTS = (-0.06, 0.0, 0.06)
CLOSER = 60  # pictures that are looked at closely
FEWEST_FOR_A_MEAN = 12  # pictures on record: fewer have no common map to take out


def moves() -> Floats:
    """The small moves of the disc: (45, 2, 3), a turn and a shift each."""
    found = [
        [[np.cos(turn), -np.sin(turn), right], [np.sin(turn), np.cos(turn), down]]
        for turn in TURNS
        for right in SHIFTS
        for down in SHIFTS
    ]
    return np.array(found)


def moved(spots: Floats, move: Floats) -> Floats:
    """Places (n, 2) of spots after one move (2, 3)."""
    there: Floats = spots[:, :2] @ move[:, :2].T + move[:, 2]
    return there


def padded(pictures: Sequence[Floats]) -> tuple[Floats, NDArray[np.bool_]]:
    """Pictures of different numbers of spots as one array (c, most, 3), and which of it is real."""
    most = max((len(one) for one in pictures), default=0)
    spots = np.zeros((len(pictures), most, 3))
    real = np.zeros((len(pictures), most), bool)
    for row, one in enumerate(pictures):
        spots[row, : len(one)] = one
        real[row, : len(one)] = True
    return spots, real


def maps(places: Floats, real: NDArray[np.bool_]) -> Maps:
    """Maps of padded places (c, most, 2+), each of length 1: float32 (c, 576)."""
    across, down = (
        np.exp(-((places[..., axis, None].astype(np.float32) - LINE) ** 2) / (2 * BLUR**2))
        for axis in (0, 1)
    )
    across *= real[..., None]
    drawn: Maps = np.matmul(down.transpose(0, 2, 1), across).reshape(len(places), -1)
    return _of_length_one(np.sqrt(drawn))


def _of_length_one(drawn: Maps) -> Maps:
    found: Maps = drawn / np.maximum(np.linalg.norm(drawn, axis=1, keepdims=True), 1e-9)
    return found


def worth_a_look(
    seen: Floats, spots: Floats, real: NDArray[np.bool_]
) -> tuple[NDArray[np.intp], Floats]:
    """The pictures most like the one in question, 60 at most, and the move under which each is.

    seen: (n, 3). spots, real: as from `padded`. Returns (k,) rows of `spots`, best first, and
    (k, 2, 3) moves. Grows with the number of pictures: 2,500 take some 0.1 s.
    """
    album = maps(spots, real)
    tried = moves()
    places = np.array([moved(seen, move) for move in tried])
    asked = maps(places, np.ones(places.shape[:2], bool))
    if len(album) >= FEWEST_FOR_A_MEAN:
        common = album.mean(0, keepdims=True)
        album, asked = _of_length_one(album - common), _of_length_one(asked - common)
    likeness = album @ asked.T
    best = likeness.argmax(1)
    order = np.argsort(-likeness.max(1), kind="stable")[:CLOSER]
    return order, tried[best[order]]
