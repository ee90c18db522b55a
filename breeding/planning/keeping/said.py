"""What is said of holding back and letting go: the answer first, then the figures."""

from collections.abc import Iterator

from breeding.planning.keeping.reading import LitterKeeping, Stakes
from breeding.words.numbers import counted, joined, one_or_more, some, spelled

SEXES = {"F": ("female", "females"), "M": ("male", "males")}
MOST_NAMED = 6


def answer_of(keeping: LitterKeeping) -> str:
    """One sentence or two for the head of the page."""
    held, stakes = keeping.held, keeping.stakes
    before = ""
    if held:
        names = joined([one.animal.name for one in held])
        before = f"{names} {one_or_more(len(held), 'is', 'are')} held back. "
    if not keeping.rows:
        return "Nobody of this litter is here any more."
    if stakes is None:
        return f"{before}Nobody else of this litter is here."
    sexes = {row.animal.sex for row in keeping.rows if row.place is not None}
    return before + answer_of_stakes(stakes, sexes)


def answer_of_stakes(stakes: Stakes, sexes: set[str]) -> str:
    """Whom to hold back of some young, and why. sexes: those among them."""
    number, of = stakes.worth_keeping, len(stakes.young)
    these = f"these {spelled(of)}" if of > 1 else "this one"
    if not number:
        who = f"All of {these}" if of > 1 else "This one"
        it = "them" if of > 1 else "it"
        return f"{who} may go: by pedigree the program loses next to nothing without {it}."
    who = _who(number, of, stakes.sex_wanted if stakes.sex_wanted in sexes else "")
    whom = f"Hold back {who} of {these}" if of > 1 else "Hold this one back"
    return f"{whom}: {_because(stakes)}."


def _who(number: int, of: int, sex: str) -> str:
    if number >= of:
        return "all"
    if not sex:
        return spelled(number)
    one, several = SEXES[sex]
    return f"one {one}" if number == 1 else f"{spelled(number)}, {several} first"


def _because(stakes: Stakes) -> str:
    if stakes.alone:
        names = some([*stakes.alone], MOST_NAMED)
        line = one_or_more(len(stakes.alone), "line", "lines")
        return f"nobody else carries {_possessive(names)} {line}"
    lost = figure(stakes.gains.lost_with_all)
    return f"without them the program loses {lost} of gene diversity"


def _possessive(names: str) -> str:
    return f"{names}'" if names.endswith("s") else f"{names}'s"


def figure(share: float) -> str:
    """A share of one in per cent with two places, which is as fine as a program of this size is.

    >>> figure(0.00634), figure(-0.2)
    ('0.63 %', '-20.00 %')
    """
    return f"{100 * share:.2f} %"


def changed(change: float) -> str:
    """How gene diversity changes.

    >>> changed(-0.0012), changed(0.0004), changed(0.000001)
    ('falls by 0.12 %', 'rises by 0.04 %', 'stays as it is')
    """
    if abs(change) < 5e-5:
        return "stays as it is"
    return f"{'falls' if change < 0 else 'rises'} by {figure(abs(change))}"


def grounds_of(stakes: Stakes) -> Iterator[str]:
    """What the answer rests on, one sentence each."""
    of = len(stakes.young)
    if of > 1 and stakes.parents == 1:
        yield (
            f"These {spelled(of)} have the same parents, so by pedigree they are equal: they are "
            "ranked by the sex of which fewer are here, by health, and by size."
        )
    elif stakes.parents > 1:
        yield "They do not all have the same parents: whoever adds most stands first."
    if stakes.lacks_parents:
        yield (
            "A parent is not known, and counts as related to nobody here: what is said to be lost "
            "is the most that could be."
        )
    elif stakes.is_uncertain:
        yield "The sire is not certain: each possible one counts by its share."
    if stakes.sex_wanted:
        yield f"Of the rest of the program fewer are {SEXES[stakes.sex_wanted][1]}."


def table_of(stakes: Stakes) -> list[tuple[str, str, str]]:
    """By how many are held back: gene diversity, mean kinship."""
    return [
        (
            "none" if not number else counted(number, "pup"),
            figure(diversity),
            figure(1 - diversity),
        )
        for number, diversity in enumerate(stakes.gains.with_so_many)
    ]


def founders_of(stakes: Stakes) -> list[tuple[str, str, str]]:
    """Founders of these young: their share in the program now, and with all of them gone."""
    return [
        (name, figure(now), figure(then) if then else "nothing left")
        for name, now, then in stakes.shares
    ]
