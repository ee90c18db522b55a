"""How much memory a table of kinship may take on this machine."""

import os

FREE, INSTALLED = "SC_AVPHYS_PAGES", "SC_PHYS_PAGES"
IF_NOBODY_SAYS = 800.0  # megabytes


def megabytes_for_a_table() -> float:
    """Half of the memory that is free now, and always a quarter of what is installed.

    The system calls memory in use that it would give back at once (files read before), so what is
    free alone would say too little on a small machine.
    """
    known = [_megabytes(FREE, 1 / 2), _megabytes(INSTALLED, 1 / 4)]
    return max((one for one in known if one is not None), default=IF_NOBODY_SAYS)


def _megabytes(pages: str, part: float) -> float | None:
    try:
        return part * os.sysconf(pages) * os.sysconf("SC_PAGE_SIZE") / 1e6
    except (AttributeError, OSError, ValueError):  # not every system says
        return None
