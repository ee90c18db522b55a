"""Figures of water and space as they are read: with the mark of the reader's language; pure."""

from breeding.words.numbers import written


def figure(value: float, form: str = "g") -> str:
    """A number in the shortest way, or in the form asked for.

    >>> figure(7.5), figure(7.0), figure(0.05021, ".3g")
    ('7.5', '7', '0.0502')
    """
    return written(f"{value:{form}}")


def in_tenths(value: float) -> str:
    """To a tenth, without one that is nought.

    >>> in_tenths(26.54), in_tenths(25.0)
    ('26.5', '25')
    """
    return written(f"{value:.1f}".removesuffix(".0"))
