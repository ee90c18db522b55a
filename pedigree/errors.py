"""What can be wrong with the rows of a pedigree; each names the animals."""

from collections.abc import Hashable, Sequence


class LineageError(ValueError):
    """The rows do not make a pedigree."""


class DuplicateAnimal(LineageError):  # noqa: N818 - reads as a sentence
    """The same animal is given twice."""

    def __init__(self, animal: Hashable) -> None:
        self.animal = animal
        super().__init__(f"{animal} is given twice; each animal has one row.")


class UnknownAnimal(LineageError):  # noqa: N818 - reads as a sentence
    """An animal is named that has no row."""

    def __init__(self, animal: Hashable, named_by: Hashable | None = None) -> None:
        self.animal = animal
        self.named_by = named_by
        where = "" if named_by is None else f", named as a parent of {named_by},"
        super().__init__(f"{animal}{where} is not a row of this pedigree.")


class LineageLoop(LineageError):  # noqa: N818 - reads as a sentence
    """An animal is among its own ancestors; `loop` lists them, the first again at the end."""

    def __init__(self, loop: Sequence[Hashable]) -> None:
        self.loop = list(loop)
        chain = ", ".join(str(one) for one in loop)
        super().__init__(f"{self.loop[0]} is among its own ancestors: {chain}.")
