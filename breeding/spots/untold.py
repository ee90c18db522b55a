"""Why nothing can be told of a picture, before anybody is named or called a stranger; pure."""

from typing import Literal

from breeding.spots.finding import Reading

Reason = Literal["few", "dim"]

FEW_SPOTS = 6  # fewer leave several animals as likely as each other
LEAST_CONTRAST = 0.13  # logarithms: spots that stand off the skin by less are lost between pictures


def untold(reading: Reading) -> Reason | None:
    """Why a picture cannot tell who it is; None where it can.

    "few": under six spots were found. "dim": they hardly stand off the skin; a clearer picture may
    tell more. With either, no likeness found means nothing: it must not be called a new animal.
    """
    if len(reading.spots) < FEW_SPOTS:
        return "few"
    if reading.contrast < LEAST_CONTRAST:
        return "dim"
    return None
