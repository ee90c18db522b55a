"""Un-ionised ammonia in fresh water, from total ammonia, temperature and pH."""

from typing import Any, overload

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]

COLDEST_C, WARMEST_C = 0.0, 50.0  # fitted from 0 to 30 °C; above that it is carried on
LEAST_PH, MOST_PH = 0.0, 14.0


@overload
def unionised_fraction(temperature_c: float, ph: float) -> float: ...
@overload
def unionised_fraction(temperature_c: Numbers, ph: Numbers | float) -> Numbers: ...
@overload
def unionised_fraction(temperature_c: float, ph: Numbers) -> Numbers: ...
def unionised_fraction(temperature_c: Any, ph: Any) -> Any:
    """The share of total ammonia that is NH3, the part that harms fish; from 0 to 1.

    Numbers, or arrays of one shape. `pKa = 0.09018 + 2729.92 / T` with T in kelvin;
    `share = 1 / (10**(pKa - pH) + 1)`. For fresh water; fitted from 0 to 30 °C and pH 6 to 10.
    Raises ValueError outside 0 to 50 °C or pH 0 to 14.

    Source: Emerson, Russo, Lund & Thurston 1975, J Fish Res Board Can 32:2379-2383 (their constant
    is 2729.92; a misprint, 2727.92, is about).

    >>> round(unionised_fraction(24, 8.0), 4)
    0.0502
    """
    warmth, acidity = np.asarray(temperature_c, dtype=float), np.asarray(ph, dtype=float)
    if not np.all((warmth >= COLDEST_C) & (warmth <= WARMEST_C)):
        raise ValueError(f"{temperature_c} °C: a temperature from 0 to 50 °C is allowed.")
    if not np.all((acidity >= LEAST_PH) & (acidity <= MOST_PH)):
        raise ValueError(f"pH {ph}: a pH from 0 to 14 is allowed.")
    pka = 0.09018 + 2729.92 / (warmth + 273.15)
    share = 1 / (10 ** (pka - acidity) + 1)
    return share if share.ndim else float(share)


def unionised_ammonia_mg_l(total_mg_l_n: float, temperature_c: float, ph: float) -> float:
    """NH3 as nitrogen in mg/L, from total ammonia as nitrogen in mg/L (see `unionised_fraction`).

    Raises ValueError for less than none.

    >>> round(unionised_ammonia_mg_l(1.0, 24, 8.0), 4)
    0.0502
    """
    if total_mg_l_n < 0:
        raise ValueError(f"{total_mg_l_n} mg/L of ammonia: 0 or more is allowed.")
    return total_mg_l_n * unionised_fraction(temperature_c, ph)
