"""What is said of holding back and letting go: the answer first, then the figures."""

from collections.abc import Collection, Iterator

from breeding.planning.keeping.reading import LitterKeeping, Stakes
from breeding.words import numbers
from breeding.words.language import message, tell, tell_as, tell_many
from breeding.words.numbers import joined, some, spelled

# By the sex that is wanted, and whether it is more than one.
WHOM = {
    ("", False): message("Hold back {number} of these {all}: {reason}."),
    ("", True): message("Hold back {number} of these {all}: {reason}."),
    ("F", False): message("Hold back one female of these {all}: {reason}."),
    ("F", True): message("Hold back {number}, females first of these {all}: {reason}."),
    ("M", False): message("Hold back one male of these {all}: {reason}."),
    ("M", True): message("Hold back {number}, males first of these {all}: {reason}."),
}
FEWER = {
    "F": message("Of the rest of the program fewer are females."),
    "M": message("Of the rest of the program fewer are males."),
}
NONE_OF = {  # by which some of a litter are meant
    "these": message(
        "None of these {all} needs to be held back: by pedigree the program loses next to "
        "nothing without them."
    ),
    "others": message(
        "None of the {all} others needs to be held back: by pedigree the program loses next to "
        "nothing without them."
    ),
    "undecided": message(
        "None of the {all} not decided yet needs to be held back: by pedigree the program loses "
        "next to nothing without them."
    ),
}
MOST_NAMED = 6


def answer_of(keeping: LitterKeeping) -> str:
    """One sentence or two for the head of the page."""
    held, stakes = keeping.held, keeping.stakes
    if not keeping.rows:
        return tell("Nobody of this litter is here any more.")
    said = []
    if held:
        names = joined([one.animal.name for one in held])
        said.append(
            tell_many("{names} is held back.", "{names} are held back.", len(held), names=names)
        )
    if stakes is None:
        return " ".join([*said, tell("Nobody else of this litter is here.")])
    open_rows = [row for row in keeping.rows if row.place is not None]
    sexes = {row.animal.sex for row in open_rows}
    said.append(answer_of_stakes(stakes, sexes, which="others" if held else "these"))
    if not stakes.worth_keeping and len(open_rows) > 1:
        first = min(open_rows, key=lambda row: row.place or 0).animal
        said.append(tell("If one is to stay all the same: {name} first.", name=first.name))
    return " ".join(said)


def answer_of_stakes(stakes: Stakes, sexes: Collection[str], *, which: str = "these") -> str:
    """Whom to hold back of some young, and why.

    sexes: those among them. which: "these", "others" (than those held back) or "undecided".
    """
    number, of = stakes.worth_keeping, len(stakes.young)
    if not number:
        if of > 1:
            return tell(NONE_OF[which], all=spelled(of))
        return tell(
            "This one need not be held back: by pedigree the program loses next to nothing "
            "without it."
        )
    reason = _because(stakes)
    if of == 1:
        return tell("Hold this one back: {reason}.", reason=reason)
    if number >= of:
        return tell("Hold back all of these {all}: {reason}.", all=spelled(of), reason=reason)
    sex = stakes.sex_wanted if stakes.sex_wanted in sexes else ""
    whom = WHOM[sex, number > 1]
    return tell(whom, number=spelled(number), all=spelled(of), reason=reason)


def _because(stakes: Stakes) -> str:
    if stakes.alone:
        names = some([*stakes.alone], MOST_NAMED)
        if names.endswith("s"):
            return tell_many(
                "nobody else carries {names}' line",
                "nobody else carries {names}' lines",
                len(stakes.alone),
                names=names,
            )
        return tell_many(
            "nobody else carries {names}'s line",
            "nobody else carries {names}'s lines",
            len(stakes.alone),
            names=names,
        )
    lost = points(stakes.gains.lost_with_all)
    return tell("without them the program loses {points} points of gene diversity", points=lost)


def figure(share: float) -> str:
    """A share of one in per cent with two places, which is as fine as a program of this size is.

    >>> figure(0.00634), figure(-0.2)
    ('0.63 %', '-20.00 %')
    """
    return f"{numbers.figure(100 * share, 2)} %"


def points(share: float) -> str:
    """How far two shares of gene diversity are apart, in points of a hundred.

    >>> points(0.00634)
    '0.63'
    """
    return numbers.figure(100 * share, 2)


def changed(change: float) -> str:
    """How gene diversity changes.

    >>> changed(-0.0012), changed(0.0004), changed(0.000001)
    ('falls by 0.12 points', 'rises by 0.04 points', 'stays as it is')
    """
    if abs(change) < 5e-5:
        return tell("stays as it is")
    by = points(abs(change))
    if change < 0:
        return tell("falls by {points} points", points=by)
    return tell("rises by {points} points", points=by)


def grounds_of(stakes: Stakes) -> Iterator[str]:
    """What the answer rests on, one sentence each."""
    of = len(stakes.young)
    if of > 1 and stakes.parents == 1:
        yield (
            tell(
                "These {all} have the same parents, so by pedigree they are equal: they "
                "are ranked by the sex of which fewer are here, by health, and by size.",
                all=spelled(of),
            )
        )
    elif stakes.parents > 1:
        yield tell("They do not all have the same parents: the one that adds most stands first.")
    if stakes.lacks_parents:
        yield (
            tell(
                "A parent is not known, and counts as unrelated to all here: the loss shown is "
                "the most it could be."
            )
        )
    elif stakes.is_uncertain:
        yield tell("The sire is not certain: each possible one counts by its share.")
    if stakes.sex_wanted:
        yield tell(FEWER[stakes.sex_wanted])


def table_of(stakes: Stakes) -> list[tuple[str, str, str]]:
    """By how many are held back: gene diversity, mean kinship."""
    return [
        (
            tell_many("{number} pup", "{number} pups", number)
            if number
            else tell_as("no pup held back", "none"),
            figure(diversity),
            figure(1 - diversity),
        )
        for number, diversity in enumerate(stakes.gains.with_so_many)
    ]


def founders_of(stakes: Stakes) -> list[tuple[str, str, str]]:
    """Founders of these young: their share in the program now, and with all of them gone."""
    return [
        (name, figure(now), figure(then) if then else tell("nothing left"))
        for name, now, then in stakes.shares
    ]
