"""Claims as the rows of a Pedigree; pure."""

from collections.abc import Iterable
from typing import Any

from breeding.exchange.ancestry.claims import Claim

A_DAY = len("2024-05-11")


def rows_of(claims: Iterable[Claim]) -> list[tuple[Any, ...]]:
    """Rows as a Pedigree takes them; a parent that is none of these animals is unknown.

    Young of one dam, one day and one belief about an uncertain sire are litter mates, as in the
    records they come from.
    """
    claims = tuple(claims)
    known = {claim.identity for claim in claims}
    return [_row(claim, known) for claim in claims]


def _row(claim: Claim, known: set[str]) -> tuple[Any, ...]:
    sires = {sire: share for sire, share in claim.sires if sire in known}
    dam = claim.dam if claim.dam in known else None
    is_certain = list(sires.values()) == [1]
    sire: Any = next(iter(sires)) if is_certain else (sires or None)
    if is_certain or dam is None or len(claim.born) != A_DAY:
        return (claim.identity, sire, dam)
    return (claim.identity, sire, dam, (dam, claim.born, tuple(sorted(sires.items()))))
