"""A file somebody gave: its signature held against its key, and every value before it counts; pure.

Nothing of a file is believed before its size, its form and its signature are right. That says
whose key signed it, not that it is true, nor who holds the key.
"""

import datetime
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, TypeVar

from breeding.exchange.ancestry.claims import (
    DAY,
    FORM,
    IDENTITY,
    MOST_ANIMALS,
    READ,
    SEXES,
    VERSION,
    Claim,
    Word,
)
from breeding.exchange.ancestry.rows import A_DAY, rows_of
from breeding.exchange.ancestry.writing import PURPOSE
from breeding.sheets.sealing.key_words import KeyWord, NotAKeyWord, read_key_words
from breeding.sheets.sealing.seal import canonical, digest, holds, unpacked
from breeding.words.language import tell
from pedigree import LineageError, Pedigree

MOST_BYTES = 4_000_000
MOST_LETTERS = 60
MOST_PICTURES, MOST_SPOTS, MOST_SIZES = 8, 200, 120
SPOT_PARTS = 10_000  # spots are whole numbers: ten thousandths of half the disc's width

Found = TypeVar("Found")
ALLOWED = {
    *("id", "sex", "name", "born", "died", "wild", "sires", "dam", "species"),
    *("also", "spots", "measured"),
}
WIDEST_MM, HEAVIEST_G = 3000, 500_000


class Refused(ValueError):  # noqa: N818 - read aloud it says what happened
    """The file is not taken; the text says why, to a reader."""


class NeverSigned(Refused):
    """The file is of another kind: nobody altered what was never signed."""


def read_word(content: bytes) -> Word:
    """What a signed file says. Raises Refused, in words, for whatever is not right with it."""
    was_signed = FORM.encode() in content or b"signature" in content
    refused = Refused if was_signed else NeverSigned
    if len(content) > MOST_BYTES:
        raise refused(
            tell(
                "This file is too large: {size} MB; at most {most} MB are read.",
                size=len(content) // 1_000_000 + 1,
                most=MOST_BYTES // 1_000_000,
            )
        )
    try:
        document, seal = unpacked(content)
    except (ValueError, RecursionError):
        raise refused(tell("This file is no ancestry as this program writes it.")) from None
    if document.get("form") != FORM:
        raise Refused(tell("This file is no ancestry as this program writes it."))
    if not holds(document, seal, purpose=PURPOSE):
        raise Refused(
            tell("This file was altered after it was signed, or was not signed by its key.")
        )
    return word_of_document(document, seal.public_key)


def word_of_document(document: Mapping[str, Any], key: str) -> Word:
    """What a document says whose signature was held before. Raises Refused, in words."""
    if document.get("form") != FORM:
        raise Refused(tell("This file is no ancestry as this program writes it."))
    version = document.get("version")
    if type(version) is not int or version not in READ:
        raise Refused(
            tell(
                "This file is of version {version}; this program reads version {own}.",
                version=str(document.get("version"))[:20],
                own=VERSION,
            )
        )
    word = _word(document, key, digest(canonical(document)))
    _check_lineage(word)
    return word


def _word(document: Mapping[str, Any], key: str, digest_of_it: str) -> Word:
    rows = document.get("animals")
    if not isinstance(rows, list) or not 1 <= len(rows) <= MOST_ANIMALS:
        raise Refused(tell("Its animals are not a list of 1 to {most}.", most=MOST_ANIMALS))
    claims = tuple(_claim(row) for row in rows)
    named = [claim.identity for claim in claims]
    if len(set(named)) != len(named):
        raise Refused(tell("An animal stands in it twice."))
    about = document.get("about")
    if not isinstance(about, list) or not about or not set(map(str, about)) <= set(named):
        raise Refused(tell("It does not say for which of its animals it was given."))
    return Word(
        key=key,
        issuer=_text(document.get("issuer", "")),
        issued_on=_day(document.get("issued_on", "")),
        about=tuple(map(str, about)),
        claims=claims,
        digest=digest_of_it,
        keys=_keys(document.get("keys", [])),
    )


def _keys(rows: Any) -> tuple[KeyWord, ...]:
    try:
        return read_key_words(rows)
    except NotAKeyWord as problem:
        raise Refused(str(problem)) from None


def _claim(row: Any) -> Claim:
    if not isinstance(row, dict) or not set(row) <= ALLOWED:
        raise Refused(tell("One of its animals has a part that no ancestry has."))
    sex = row.get("sex", "U")
    if sex not in SEXES:
        raise Refused(tell("“{value}” is no sex; F, M and U are.", value=str(sex)[:20]))
    if not isinstance(row.get("wild", False), bool):
        raise Refused(tell("One of its animals has a part that no ancestry has."))
    return Claim(
        identity=_identity(row.get("id")),
        sex=sex,
        name=_text(row.get("name", "")),
        born=_day(row.get("born", "")),
        died=_day(row.get("died", "")),
        is_wild=row.get("wild", False),
        sires=_shares(row.get("sires", []), _identity),
        dam=_identity(row["dam"]) if row.get("dam") else "",
        species=_shares(list(_group(row.get("species", {})).items()), _text),
        also=tuple(_identity(one) for one in _list(row.get("also", []), 20)),
        spots=tuple(_picture(one) for one in _list(row.get("spots", []), MOST_PICTURES)),
        measured=tuple(_size(one) for one in _list(row.get("measured", []), MOST_SIZES)),
    )


def _size(value: Any) -> tuple[str, int, int]:
    """The day of a measurement, the width in millimetres and the weight in grams; 0: not taken."""
    parts = _list(value, 3)
    if len(parts) == 3:
        day, width, weight = parts
        whole = all(type(one) is int for one in (width, weight))
        can_be = whole and 0 <= width <= WIDEST_MM and 0 <= weight <= HEAVIEST_G and width + weight
        if can_be and len(_day(day)) == A_DAY:
            return day, width, weight
    raise Refused(
        tell(
            "“{value}” is no measurement: a day, up to {mm} mm and up to {g} g.",
            value=str(value)[:60],
            mm=WIDEST_MM,
            g=HEAVIEST_G,
        )
    )


def _picture(value: Any) -> tuple[str, tuple[tuple[int, int, int], ...]]:
    day, spots = _pair(value)
    found = []
    for spot in _list(spots, MOST_SPOTS):
        whole = _list(spot, 3)
        if len(whole) != 3 or not all(
            type(one) is int and abs(one) <= 2 * SPOT_PARTS for one in whole
        ):
            raise Refused(tell("The spots of one of its animals are no spots."))
        found.append((whole[0], whole[1], whole[2]))
    return _day(day), tuple(found)


def _identity(value: Any) -> str:
    if not isinstance(value, str) or not IDENTITY.match(value):
        raise Refused(tell("“{value}” names no animal.", value=str(value)[:80]))
    return value


def _text(value: Any) -> str:
    if not isinstance(value, str) or len(value) > MOST_LETTERS or not value.isprintable():
        raise Refused(
            tell("A name in it is longer than {most} letters, or none.", most=MOST_LETTERS)
        )
    return value


def _day(value: Any) -> str:
    if value and (not isinstance(value, str) or not DAY.match(value) or not _is_a_day(value)):
        raise Refused(tell("“{value}” is no day, month or year.", value=str(value)[:20]))
    return value or ""


def _is_a_day(text: str) -> bool:
    year, month, day = (*text.split("-"), "01", "01")[:3]
    try:
        return bool(datetime.date(int(year), int(month), int(day)))
    except ValueError:
        return False


def _shares(value: Any, read: Callable[[Any], str]) -> tuple[tuple[str, Fraction], ...]:
    found = tuple((read(name), _share(share)) for name, share in map(_pair, _list(value, 40)))
    if found and sum(share for _, share in found) > 1:
        raise Refused(tell("Shares in it come to more than the whole."))
    return found


def _share(value: Any) -> Fraction:
    try:
        share = Fraction(value) if isinstance(value, str) and len(value) <= 40 else None
    except (ValueError, ZeroDivisionError):
        share = None
    if share is None or not 0 < share <= 1:
        raise Refused(tell("“{value}” is no share; 1/2 and 1 are.", value=str(value)[:40]))
    return share


def _list(value: Any, most: int) -> list[Any]:
    if not isinstance(value, list) or len(value) > most:
        raise Refused(tell("One of its animals has a part that no ancestry has."))
    return value


def _pair(value: Any) -> tuple[Any, Any]:
    if not isinstance(value, (list, tuple)) or len(value) != 2:
        raise Refused(tell("One of its animals has a part that no ancestry has."))
    return value[0], value[1]


def _group(value: Any) -> dict[str, Any]:
    if not isinstance(value, dict) or len(value) > 40:
        raise Refused(tell("One of its animals has a part that no ancestry has."))
    return value


def _check_lineage(word: Word) -> None:
    """A loop refuses the whole file; a parent that is no animal of it counts as unknown."""
    try:
        Pedigree.from_rows(rows_of(word.claims))
    except LineageError as problem:
        raise Refused(tell("Its ancestry cannot be: {problem}", problem=problem)) from None
