"""Our own scale of bite marks: five degrees, each with what a keeper sees."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Degree:
    """One degree of the scale; its picture is `pairings/_wound.html`."""

    number: int
    name: str
    words: str

    def __str__(self) -> str:
        return f"{self.number}, {self.name}"


# The degrees are an assumption of this project: what a keeper can tell apart at the glass.
DEGREES = (
    Degree(0, "none", "no mark to be seen on the disc"),
    Degree(1, "light", "a few shallow marks on the edge of the disc"),
    Degree(2, "broken skin", "several marks, the skin is broken"),
    Degree(3, "open", "open wounds, or the edge of the disc is torn"),
    Degree(4, "deep", "deep or large wounds, bleeding; or she hides or does not eat"),
)


def degree(number: int | None) -> Degree | None:
    """The degree of a number from 0 to 4; None for none.

    >>> str(degree(3))
    '3, open'
    """
    return None if number is None else DEGREES[number]
