"""What an animal is of a trait, in words: never more certain than it is."""

from collections.abc import Sequence

from breeding.traits.inheritance import NOT, UNTOLD, Belief, carries_in, shows_in
from breeding.words.chances import chance
from breeding.words.language import tell, tell_as, tell_many

CERTAIN = 1e-12
LEAST_SAID = 0.005  # a smaller chance to show it is not said beside that of carrying it


def is_sure(share: float) -> bool:
    """Whether it is certain, given what was seen and how the trait is believed to be inherited.

    >>> is_sure(1.0), is_sure(0.9999)
    (True, False)
    """
    return share >= 1 - CERTAIN


def chance_of(share: float) -> str:
    """As the chance of an animal; a certain one is 100 %, and only that."""
    return tell_as("a share", "{number} %", number=100) if is_sure(share) else chance(share)


def _never(share: float) -> bool:
    return share <= CERTAIN


def standing_words(
    belief: Belief,
    chances: Sequence[float],
    *,
    seen: str = "",
    test: str = "",
    has_one_copy: bool = False,
    is_exact: bool = True,
    is_prior: bool = False,
) -> str:
    """What it is: "carrier with 67 %"; "carrier" alone only when it is tested or proven.

    seen and test are what was seen on it last and what a test said. is_exact: not sampled.
    is_prior: nothing that was seen bears on it.

    >>> recessive = Belief("recessive", "", 0.1)
    >>> standing_words(recessive, (1/3, 2/3, 0), seen="not")
    'carrier with 67 %'
    >>> standing_words(recessive, (0, 1, 0), seen="not")
    'carrier, proven by its parents or young'
    >>> standing_words(recessive, (0.25, 0.5, 0.25))
    'shows it with 25 %, carrier with 50 %'
    """
    shows = shows_in(chances, belief, has_one_copy=has_one_copy)
    carries = carries_in(chances, belief, has_one_copy=has_one_copy)
    if is_prior:
        return _unknown(shows, carries)
    if not is_exact:
        return _perhaps(shows, carries, float(chances[0]))
    if is_sure(chances[0]):
        return tell("free of it, tested") if test else tell("free of it, by its parents or young")
    if is_sure(carries):
        if test:
            return tell("carrier, tested")
        return tell("carrier, proven by its parents or young")
    if is_sure(shows):
        return _showing(belief, chances, seen, has_one_copy)
    return _perhaps(shows, carries, float(chances[0]))


def _unknown(shows: float, carries: float) -> str:
    """Of one on whom nothing that was seen bears: what is assumed of any founder."""
    if carries:
        return tell(
            "nothing known: carrier with {carries}, as assumed of any founder",
            carries=chance(carries),
        )
    return tell(
        "nothing known: shows it with {shows}, as assumed of any founder", shows=chance(shows)
    )


def _perhaps(shows: float, carries: float, free: float) -> str:
    if _never(shows) and _never(carries):
        return tell("hardly anything of it: free with {free}", free=chance(free))
    if _never(shows) or (shows < LEAST_SAID and carries >= LEAST_SAID):
        return tell("carrier with {carries}", carries=chance(carries))
    if _never(carries):
        return tell("shows it with {shows}", shows=chance(shows))
    return tell(
        "shows it with {shows}, carrier with {carries}",
        shows=chance(shows),
        carries=chance(carries),
    )


def _showing(belief: Belief, chances: Sequence[float], seen: str, has_one_copy: bool) -> str:
    """Of one that surely shows it: with how many copies, where that is not plain."""
    unseen = seen in ("", UNTOLD, NOT)
    if belief.kind == "recessive" or has_one_copy:
        return tell("will show it, by its parents or young") if unseen else tell("shows it")
    if is_sure(chances[2]):
        return tell("shows it, with two copies")
    if is_sure(chances[1]):
        return tell("shows it, with one copy")
    return tell("shows it, with two copies by {chance}", chance=chance(chances[2]))


def error_words(error: float) -> str:
    """How far a sampled chance may be off; nothing for an exact one.

    >>> error_words(0), error_words(0.021), error_words(0.004)
    ('', 'give or take 2 points', 'give or take 1 point')
    """
    if not error:
        return ""
    return tell_many(
        "give or take {number} point", "give or take {number} points", max(1, round(error * 100))
    )


def cleared_words(name: str, carries: float, to_95: int | None, to_99: int | None) -> str:
    """How many young that do not show it clear a suspected carrier.

    >>> cleared_words("Altair", 2/3, 6, 8)
    'Altair is a carrier with 67 %: after 6 young that do not show it 95 % clear, after 8 99 %.'
    """
    share = chance(carries)
    if to_95 is None or to_99 is None:
        return tell(
            "{animal} is a carrier with {chance}; young of these two never clear it, because the "
            "other one may have no copy to show it by.",
            animal=name,
            chance=share,
        )
    return tell(
        "{animal} is a carrier with {chance}: after {some} young that do not show it 95 % clear, "
        "after {more} 99 %.",
        animal=name,
        chance=share,
        some=to_95,
        more=to_99,
    )
