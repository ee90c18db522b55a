"""Three invented programs that breed for ten years and sell to each other, and what is true."""

from dataclasses import dataclass, field
from fractions import Fraction
from random import Random

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from breeding.exchange.ancestry import Claim, Word
from breeding.exchange.ancestry.claims import identity
from pedigree import Pedigree

CERTAIN = Fraction(1)


@dataclass
class Program:
    """One program: its key, the animals in its tanks, and what it knows of them."""

    name: str
    key: Ed25519PrivateKey
    here: list[str] = field(default_factory=list)
    knows: dict[str, Claim] = field(default_factory=dict)
    born: int = 0

    @property
    def public(self) -> str:
        return self.key.public_key().public_bytes_raw().hex()

    def new_identity(self) -> str:
        self.born += 1
        return identity(self.public, f"R{self.born}")

    def word(self, on: str, about: list[str] | None = None) -> Word:
        """What it would give today: everything it knows."""
        claims = tuple(self.knows[one] for one in sorted(self.knows))
        named = tuple(about or [claims[0].identity])
        return Word(self.public, self.name, on, named, claims, digest=f"{self.name} {on}")


def ten_years(seed: int, *, programs: int = 3) -> tuple[list[Program], Pedigree]:
    """Programs and the true pedigree of every animal of all of them, by lasting identity.

    A buyer learns with an animal what its seller knows of its ancestors, by a sheet of that year.
    """
    random = Random(seed)
    houses = [
        Program(f"House {number}", Ed25519PrivateKey.from_private_bytes(bytes([number + 1]) * 32))
        for number in range(programs)
    ]
    truth: dict[str, tuple[str, str | None, str | None]] = {}
    for house in houses:
        for number in range(4):
            _write(house, truth, Claim(house.new_identity(), sex="FM"[number % 2], is_wild=True))
    for year in range(2016, 2026):
        for house in houses:
            _a_litter(house, truth, year, random)
        seller, buyer = random.sample(houses, 2)
        sold = random.choice(seller.here)
        seller.here.remove(sold)
        buyer.here.append(sold)
        for one in _with_ancestors(sold, seller.knows):
            buyer.knows.setdefault(one, seller.knows[one])
    return houses, Pedigree.from_rows(truth.values())


def _a_litter(house: Program, truth, year: int, random: Random) -> None:
    females = [one for one in house.here if house.knows[one].sex == "F"]
    males = [one for one in house.here if house.knows[one].sex == "M"]
    if not females or not males:
        return
    dam, sire = random.choice(females), random.choice(males)
    for number in range(random.randint(1, 3)):
        pup = Claim(
            house.new_identity(),
            sex="FM"[number % 2],
            born=f"{year}-06-07",
            sires=((sire, CERTAIN),),
            dam=dam,
        )
        _write(house, truth, pup)


def _write(house: Program, truth, claim: Claim) -> None:
    house.here.append(claim.identity)
    house.knows[claim.identity] = claim
    sire = claim.sires[0][0] if claim.sires else None
    truth[claim.identity] = (claim.identity, sire, claim.dam or None)


def _with_ancestors(one: str, knows: dict[str, Claim]) -> list[str]:
    found, left = {}, [one]
    while left:
        animal = left.pop()
        if animal not in found and animal in knows:
            found[animal] = True
            left += knows[animal].parents
    return list(found)
