"""What one animal is to another, in the words that keepers use; pure."""

from typing import Any

from breeding.words.language import message_as, tell_as

PARENT = {
    "F": message_as("what one is to another", "dam"),
    "M": message_as("what one is to another", "sire"),
    "U": message_as("what one is to another", "parent"),
}
YOUNG = {
    "F": message_as("what one is to another", "daughter"),
    "M": message_as("what one is to another", "son"),
    "U": message_as("what one is to another", "young"),
}
FULL_SIBLING = {
    "F": message_as("what one is to another", "full sister"),
    "M": message_as("what one is to another", "full brother"),
    "U": message_as("what one is to another", "full sibling"),
}
HALF_SIBLING = {
    "F": message_as("what one is to another", "half sister"),
    "M": message_as("what one is to another", "half brother"),
    "U": message_as("what one is to another", "half sibling"),
}
BY_THE_DAM = {
    "F": message_as("what one is to another", "sister by the dam"),
    "M": message_as("what one is to another", "brother by the dam"),
    "U": message_as("what one is to another", "sibling by the dam"),
}
BY_THE_SIRE = {
    "F": message_as("what one is to another", "sister by the sire"),
    "M": message_as("what one is to another", "brother by the sire"),
    "U": message_as("what one is to another", "sibling by the sire"),
}


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
    said = _relations(one, other)
    return tell_as("what one is to another", said[other.sex]) if said else ""


def _relations(one: Any, other: Any) -> dict[str, str]:
    """The words for it by the sex of `other`."""
    if other.pk in (one.sire_id, one.dam_id):
        return PARENT
    if one.pk in (other.sire_id, other.dam_id):
        return YOUNG
    same_dam = one.dam_id is not None and one.dam_id == other.dam_id
    same_sire = one.sire_id is not None and one.sire_id == other.sire_id
    if same_dam and same_sire:
        return FULL_SIBLING
    if same_dam:  # the sires may be the same where one is not known
        both_known = one.sire_id is not None and other.sire_id is not None
        return HALF_SIBLING if both_known else BY_THE_DAM
    if same_sire:
        both_known = one.dam_id is not None and other.dam_id is not None
        return HALF_SIBLING if both_known else BY_THE_SIRE
    return {}


def whose(one: Any) -> str:
    """Its own, by sex: his, her, its."""
    return {"F": "her", "M": "his"}.get(one.sex, "its")
