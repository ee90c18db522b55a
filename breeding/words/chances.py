"""A chance as it is said: in whole per cent, never as certain when it is not."""


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
