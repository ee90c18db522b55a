"""What one animal is to another, in the words that keepers use; pure."""

from typing import Any

PARENT = {"F": "dam", "M": "sire"}
YOUNG = {"F": "daughter", "M": "son", "U": "young"}
SIBLING = {"F": "sister", "M": "brother", "U": "sibling"}


def relation(one: Any, other: Any) -> str:
    """What `other` is to `one`, by their recorded parents; "" for anything farther.

    Both have pk, sex, sire_id and dam_id; a parent nobody knows is not the same parent.

    >>> from types import SimpleNamespace as Ray
    >>> mira = Ray(pk=1, sex="F", sire_id=None, dam_id=None)
    >>> lyra, izar = (Ray(pk=pk, sex="M", sire_id=9, dam_id=1) for pk in (2, 3))
    >>> relation(lyra, mira), relation(mira, lyra), relation(lyra, izar)
    ('dam', 'son', 'full brother')
    >>> relation(lyra, Ray(pk=4, sex="F", sire_id=None, dam_id=1))
    'sister by the dam'
    """
    if other.pk in (one.sire_id, one.dam_id):
        return PARENT.get(other.sex, "parent")
    if one.pk in (other.sire_id, other.dam_id):
        return YOUNG[other.sex]
    same_dam = one.dam_id is not None and one.dam_id == other.dam_id
    same_sire = one.sire_id is not None and one.sire_id == other.sire_id
    sibling = SIBLING[other.sex]
    if same_dam and same_sire:
        return f"full {sibling}"
    if same_dam:  # the sires may be the same where one is not known
        both_known = one.sire_id is not None and other.sire_id is not None
        return f"half {sibling}" if both_known else f"{sibling} by the dam"
    if same_sire:
        both_known = one.dam_id is not None and other.dam_id is not None
        return f"half {sibling}" if both_known else f"{sibling} by the sire"
    return ""


def whose(one: Any) -> str:
    """Its own, by sex: his, her, its."""
    return {"F": "her", "M": "his"}.get(one.sex, "its")
