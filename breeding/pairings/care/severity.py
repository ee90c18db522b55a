"""Our own scale of bite marks: five degrees, each with what a keeper sees."""

from dataclasses import dataclass

from breeding.words.language import message, message_as, tell, tell_as


@dataclass(frozen=True)
class Degree:
    """One degree of the scale; its picture is `pairings/_wound.html`."""

    number: int
    called: str  # a message, as what is seen at it
    seen: str

    @property
    def name(self) -> str:
        return tell_as("of marks", self.called)

    @property
    def words(self) -> str:
        return tell(self.seen)

    def __str__(self) -> str:
        return tell("{number}, {name}", number=self.number, name=self.name)


# The degrees are an assumption of this project: what a keeper can tell apart at the glass.
DEGREES = (
    Degree(0, message_as("of marks", "none"), message("no mark to be seen on the disc")),
    Degree(
        1, message_as("of marks", "light"), message("a few shallow marks on the edge of the disc")
    ),
    Degree(2, message_as("of marks", "broken skin"), message("several marks, the skin is broken")),
    Degree(
        3, message_as("of marks", "open"), message("open wounds, or the edge of the disc is torn")
    ),
    Degree(
        4,
        message_as("of marks", "deep"),
        message("deep or large wounds, bleeding; or she hides or does not eat"),
    ),
)


def degree(number: int | None) -> Degree | None:
    """The degree of a number from 0 to 4; None for none.

    >>> str(degree(3))
    '3, open'
    """
    return None if number is None else DEGREES[number]
