"""A chance as it is said: in whole per cent, never as certain when it is not."""

BELIEFS = (  # below this chance, this word
    (0.20, "hardly pregnant"),
    (0.50, "perhaps pregnant"),
    (0.75, "rather likely pregnant"),
    (0.95, "probably pregnant"),
)


def chance(share: float) -> str:
    """A chance in whole per cent.

    >>> chance(0.25), chance(0.001), chance(1.0)
    ('25 %', 'under 1 %', 'over 99 %')
    """
    if share <= 0:
        return "0 %"
    if share <= 0.005:
        return "under 1 %"
    if share >= 0.995:
        return "over 99 %"
    return f"{share * 100:.0f} %"


def belief(share: float) -> str:
    """The word alone, for where the figure stands beside it."""
    return next((word for below, word in BELIEFS if share < below), "pregnant")


def pregnancy(share: float) -> str:
    """How likely she is pregnant: the word, and always the figure beside it.

    >>> pregnancy(0.1), pregnancy(0.41), pregnancy(0.94), pregnancy(0.96)
    ('hardly pregnant, 10 %', 'perhaps pregnant, 41 %', 'probably pregnant, 94 %', 'pregnant, 96 %')
    """
    return f"{belief(share)}, {chance(share)}"


def of_100(share: float) -> str:
    """How many of a hundred; of what is rare, how many of a thousand.

    >>> of_100(0.4), of_100(0.045), of_100(0.0012), of_100(0.0002)
    ('40 of 100', '4 or 5 of 100', '1 of 1,000', 'under 1 of 1,000')
    """
    hundred = share * 100
    if hundred < 0.95:
        thousand = round(share * 1000)
        return f"{thousand} of 1,000" if thousand else "under 1 of 1,000"
    whole = int(hundred)
    if 0.25 <= hundred - whole <= 0.75:
        return f"{whole} or {whole + 1} of 100"
    return f"{hundred:.0f} of 100"


def seen_words(after: float, without: float) -> str:
    """How often a sign is seen, of looked-at days after a mating and without one.

    >>> seen_words(0.40, 0.045)
    'seen after 40 of 100 matings, and in 4 or 5 of 100 such days without'
    """
    return f"seen after {of_100(after)} matings, and in {of_100(without)} such days without"
