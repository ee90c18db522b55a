"""What was seen and cannot all be: who contradicts whom, and what may be wrong, by likelihood."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from breeding.animals.models import Animal
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.traits.models import Trait
from breeding.traits.reading import MOST_MEGABYTES, Reading, belief_of, evidence_of
from breeding.words.chances import chance
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined
from pedigree import Doubts, OtherBelief, TooTangled, WayOut, ways_out
from pedigree.errors import LineageError

# How often each is wrong; assumptions, said beside the ways out.
DOUBTS = Doubts(look=0.02, sire=0.02, dam=0.002, mutation=0.00001)
OTHER_BELIEF = 0.05
OTHERS = {"recessive": ("dominant",), "dominant": ("recessive",), "codominant": ("dominant",)}
MOST_SHOWN = 8

_KINDS = {
    "look": message("What was seen on {animals} is wrong."),
    "sire": message("The sire of {animals} is another."),
    "dam": message("The dam of {animals} is another."),
    "mutation": message("The gene changed anew in {animals}: a new mutation."),
}
_INHERITED = {
    "recessive": message("The trait is inherited otherwise: recessive."),
    "dominant": message("The trait is inherited otherwise: dominant."),
}


@dataclass(frozen=True)
class Way:
    """One way out: what would be wrong, whom it is about, and its share of all ways listed."""

    words: tuple[str, ...]
    animals: tuple[Animal, ...]
    share: str


@dataclass(frozen=True)
class Contradicting:
    """Who contradicts whom, and the ways out; `own`: the looks at one animal alone cannot be."""

    animals: tuple[Animal, ...]
    ways: tuple[Way, ...]
    own: bool
    is_too_tangled: bool

    @property
    def words(self) -> str:
        names = joined([one.name for one in self.animals])
        if self.own:
            return tell_many(
                "What was seen on {names} and what the test said cannot both be.",
                "What was seen on {names} and what the tests said cannot both be.",
                len(self.animals),
                names=names,
            )
        return tell(
            "What was seen on {names} cannot all be, as their parents are on record and the trait "
            "is believed to be inherited.",
            names=names,
        )


@dataclass(frozen=True)
class _Found:
    """What is kept: the ways out by keys; None where it is too tangled to weigh them."""

    ways: tuple[tuple[tuple[tuple[str, tuple[int | str, ...]], ...], float], ...] | None


def contradicting(reading: Reading) -> Contradicting | None:
    """None where everything that was seen can be."""
    if not reading.contradicting:
        return None
    trait, belief = reading.trait, reading.belief
    looked = evidence_of(trait).looked
    own = any(looked[key].is_impossible for key in reading.contradicting if key in looked)
    key = ("traits", trait.pk, "ways", belief.inheritance, belief.one_copy)
    found = _Found(())
    if not own:
        found = kept_while_unchanged((*key, str(trait.founder_share)), lambda: _ways(trait))
    named = _animals(reading.contradicting, found)
    return Contradicting(
        tuple(named[one] for one in reading.contradicting if one in named),
        tuple(_said(mistakes, share, named) for mistakes, share in (found.ways or ())[:MOST_SHOWN]),
        own,
        found.ways is None,
    )


def _ways(trait: Trait) -> _Found:
    evidence = evidence_of(trait)
    try:
        found = ways_out(
            evidence.pedigree(),
            evidence.says,
            frequency=evidence.belief.founder_share,
            doubts=DOUBTS,
            sex_linked=evidence.sex_linked,
            beliefs=_beliefs(trait),
            most_megabytes=MOST_MEGABYTES,
        )
    except TooTangled:
        return _Found(None)
    except LineageError:  # nothing that is thought of helps
        return _Found(())
    return _Found(tuple(_plain(way) for way in found))


def _plain(way: WayOut) -> tuple[tuple[tuple[str, tuple[int | str, ...]], ...], float]:
    return tuple((one.kind, tuple(one.of)) for one in way.mistakes), way.share


def _beliefs(trait: Trait) -> dict[str, OtherBelief]:
    """Other ways of being inherited, each with what was seen as it would then say."""
    belief = belief_of(trait)
    if belief.is_sex_linked:
        return {}
    found = {}
    for name in OTHERS[belief.kind]:
        other = evidence_of(trait, replace(belief, inheritance=name))
        if not any(one.is_impossible for one in other.looked.values()):
            found[name] = OtherBelief(other.says, OTHER_BELIEF)
    return found


def _animals(contradicting: Sequence[int], found: _Found) -> Mapping[int, Animal]:
    keys = set(contradicting)
    for mistakes, _ in found.ways or ():
        for kind, of in mistakes:
            keys |= {one for one in of if kind != "inheritance" and isinstance(one, int)}
    return Animal.every.in_bulk(keys)


def _said(
    mistakes: Sequence[tuple[str, tuple[int | str, ...]]],
    share: float,
    named: Mapping[int, Animal],
) -> Way:
    words, animals = [], []
    for kind, of in mistakes:
        if kind == "inheritance":
            words.append(tell(_INHERITED[str(of[0])]))
            continue
        those = [named[one] for one in of if isinstance(one, int) and one in named]
        animals += those
        words.append(tell(_KINDS[kind], animals=joined([one.name for one in those])))
    return Way(tuple(words), tuple(animals), chance(share))
