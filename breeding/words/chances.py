"""A chance as it is said: in whole per cent, never as certain when it is not."""

from breeding.words.language import message, says, tell, tell_as
from breeding.words.numbers import figure

BELIEFS = (  # below this chance, this word
    (0.20, message("hardly pregnant")),
    (0.50, message("perhaps pregnant")),
    (0.75, message("rather likely pregnant")),
    (0.95, message("probably pregnant")),
)


@says
def chance(share: float) -> str:
    """A chance in whole per cent.

    >>> chance(0.25), chance(0.001), chance(1.0)
    ('25 %', 'under 1 %', 'over 99 %')
    """
    if share <= 0:
        return tell_as("a share", "{number} %", number=0)
    if share <= 0.005:
        return tell("under {share}", share=tell_as("a share", "{number} %", number=1))
    if share >= 0.995:
        return tell("over {share}", share=tell_as("a share", "{number} %", number=99))
    return tell_as("a share", "{number} %", number=f"{share * 100:.0f}")


def belief(share: float) -> str:
    """The word alone, for where the figure stands beside it."""
    found = next((word for below, word in BELIEFS if share < below), None)
    return tell(found) if found else tell("pregnant")


def pregnancy(share: float) -> str:
    """How likely she is pregnant: the word, and always the figure beside it.

    >>> pregnancy(0.1), pregnancy(0.41), pregnancy(0.94), pregnancy(0.96)
    ('hardly pregnant, 10 %', 'perhaps pregnant, 41 %', 'probably pregnant, 94 %', 'pregnant, 96 %')
    """
    return tell_as("pregnancy", "{belief}, {chance}", belief=belief(share), chance=chance(share))


@says
def of_100(share: float) -> str:
    """How many of a hundred; of what is rare, how many of a thousand.

    >>> of_100(0.4), of_100(0.045), of_100(0.0012), of_100(0.0002)
    ('40 of 100', '4 or 5 of 100', '1 of 1,000', 'under 1 of 1,000')
    """
    hundred = share * 100
    if hundred < 0.95:
        thousand, of = round(share * 1000), figure(1000, grouped=True)
        if not thousand:
            return tell("under 1 of {whole}", whole=of)
        return tell("{number} of {whole}", number=thousand, whole=of)
    whole = int(hundred)
    if 0.25 <= hundred - whole <= 0.75:
        return tell("{number} or {next} of {whole}", number=whole, next=whole + 1, whole=100)
    return tell("{number} of {whole}", number=f"{hundred:.0f}", whole=100)


def seen_words(after: float, without: float) -> str:
    """How often a sign is seen, of looked-at days after a mating and without one.

    >>> seen_words(0.40, 0.045)
    'seen after 40 of 100 matings, and in 4 or 5 of 100 such days without'
    """
    return tell(
        "seen after {after} matings, and in {without} such days without",
        after=of_100(after),
        without=of_100(without),
    )
