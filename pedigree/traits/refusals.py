"""Why chances of genotypes cannot be given; each says what stands against it."""

from collections.abc import Hashable, Sequence

from pedigree.errors import LineageError


class Contradiction(LineageError):  # noqa: N818 - reads as a sentence
    """What was seen cannot all be; `animals` contradict each other, and none of them is spare."""

    def __init__(self, animals: Sequence[Hashable]) -> None:
        self.animals = tuple(animals)
        listed = ", ".join(map(str, self.animals))
        super().__init__(
            f"What was seen on {listed} cannot be, as their parents are recorded and the trait is "
            "believed to be inherited."
        )


class TooTangled(LineageError):  # noqa: N818 - reads as a sentence
    """Exact chances would take more memory than allowed; `sampled_chances` gives them nearly."""

    def __init__(self, together: int, megabytes: float, allowed: float) -> None:
        self.together = together
        self.megabytes = megabytes
        super().__init__(
            f"{together} animals of this pedigree have to be thought of at once, which takes "
            f"{megabytes:,.0f} MB; allowed are {allowed:,.0f}. Sampling gives the chances nearly."
        )
