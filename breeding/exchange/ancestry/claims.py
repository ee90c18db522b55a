"""What one program says of animals: a word, made of claims; pure."""

import re
from dataclasses import dataclass
from fractions import Fraction

from breeding.sheets.sealing.key_words import KeyWord

FORM, VERSION = "rayward ancestry", 2
READ = (1, 2)  # the versions that are read; the first said nothing of keys and sizes
MOST_ANIMALS = 5000
IDENTITY = re.compile(r"[0-9a-f]{64}:[^\x00-\x1f\x7f]{1,60}\Z")
DAY = re.compile(r"\d{4}(-\d{2}(-\d{2})?)?\Z")
SEXES = ("F", "M", "U")

Identity = str
Shares = tuple[tuple[Identity, Fraction], ...]


def identity(key: str, code: str) -> Identity:
    """The lasting identity of an animal: the key of the program that wrote it down, and its code.

    >>> identity("ab" * 32, "R7")[-6:]
    'bab:R7'
    """
    return f"{key}:{code}"


def key_of(one: Identity) -> str:
    """The key of the program that named this animal first."""
    return one.partition(":")[0]


def code_of(one: Identity) -> str:
    """The code it has in that program."""
    return one.partition(":")[2]


@dataclass(frozen=True)
class Claim:
    """What a word says of one animal. What it does not say is empty.

    born, died: a year, a month or a day ("2024", "2024-05", "2024-05-11"). sires: the sire with
    the share 1, or those that are possible with theirs. species: scientific names with their
    shares, of a founder. also: other identities of the same animal. measured: day, width of the
    disc in millimetres and weight in grams; 0 for what was not measured.
    """

    identity: Identity
    sex: str = "U"
    name: str = ""
    born: str = ""
    died: str = ""
    is_wild: bool = False
    sires: Shares = ()
    dam: Identity = ""
    species: tuple[tuple[str, Fraction], ...] = ()
    also: tuple[Identity, ...] = ()
    spots: tuple[tuple[str, tuple[tuple[int, int, int], ...]], ...] = ()
    measured: tuple[tuple[str, int, int], ...] = ()

    @property
    def parents(self) -> tuple[Identity, ...]:
        """Every parent that is named, possible sires too."""
        return (*(sire for sire, _ in self.sires), *((self.dam,) if self.dam else ()))


@dataclass(frozen=True)
class Word:
    """What one program says on one day, as it was signed.

    key: of the program, 64 hexadecimal figures. about: whom it was given for; the other animals
    are ancestors and kin. digest: SHA-256 of the signed bytes, by which it is told from others.
    keys: what it passes on of keys, each signed for itself.
    """

    key: str
    issuer: str
    issued_on: str
    about: tuple[Identity, ...]
    claims: tuple[Claim, ...]
    digest: str = ""
    keys: tuple[KeyWord, ...] = ()

    def claim_of(self, one: Identity) -> Claim | None:
        """What it says of this animal."""
        return next((claim for claim in self.claims if claim.identity == one), None)
