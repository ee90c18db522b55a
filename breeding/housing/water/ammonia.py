"""Un-ionised ammonia in fresh water, from total ammonia, temperature and pH."""

COLDEST_C, WARMEST_C = 0.0, 50.0  # fitted from 0 to 30 °C; above that it is carried on


def unionised_share(temperature_c: float, ph: float) -> float:
    """The share of total ammonia that is NH3, the part that harms fish; from 0 to 1.

    `pKa = 0.09018 + 2729.92 / T` with T in kelvin; `share = 1 / (10**(pKa - pH) + 1)`. For fresh
    water; fitted from 0 to 30 °C and pH 6 to 10. Raises ValueError outside 0 to 50 °C or pH 0
    to 14.

    Source: Emerson, Russo, Lund & Thurston 1975, J Fish Res Board Can 32:2379-2383 (their constant
    is 2729.92; a misprint, 2727.92, is about).

    >>> round(unionised_share(24, 8.0), 4)
    0.0502
    """
    if not COLDEST_C <= temperature_c <= WARMEST_C:
        raise ValueError(f"{temperature_c} °C: a temperature from 0 to 50 °C is allowed.")
    if not 0 <= ph <= 14:
        raise ValueError(f"pH {ph}: a pH from 0 to 14 is allowed.")
    pka = 0.09018 + 2729.92 / (temperature_c + 273.15)
    return float(1 / (10 ** (pka - ph) + 1))


def unionised_ammonia_mg_l(total_mg_l_n: float, temperature_c: float, ph: float) -> float:
    """NH3 as nitrogen in mg/L, from total ammonia as nitrogen in mg/L (see `unionised_share`).

    Raises ValueError for less than none.

    >>> round(unionised_ammonia_mg_l(1.0, 24, 8.0), 4)
    0.0502
    """
    if total_mg_l_n < 0:
        raise ValueError(f"{total_mg_l_n} mg/L of ammonia: 0 or more is allowed.")
    return total_mg_l_n * unionised_share(temperature_c, ph)
