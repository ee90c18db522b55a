"""One animal's growth, by what its program has taught and what it was measured at itself; pure."""

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

import numpy as np

from breeding.animals.growth.curve import Numbers
from breeding.animals.growth.fit import (
    EARLIEST_RATE,
    FINAL_SPREAD,
    LATEST_RATE,
    WORTH,
    Measured,
    Program,
)

DRAWS = 2000
SEED = 1938
LOW, HIGH = 0.05, 0.95  # nine of ten lie between
MOST_KNOWN = 200  # animals and their figures, of 48 kB each
FEW = 4  # from so many measurements of its own on an animal has a curve of its own


_known: "OrderedDict[tuple[object, ...], Numbers]" = OrderedDict()
_lock = Lock()


@dataclass(frozen=True)
class Band:
    """Widths in mm at some ages: 5 %, the middle, 95 %; three arrays of one length."""

    low: Numbers
    middle: Numbers
    high: Numbers


@dataclass(frozen=True)
class Span:
    """Ages in years by which a width is reached with 5, 50 and 95 %; None: it may never be."""

    early: float | None
    middle: float | None
    late: float | None


class OwnGrowth:
    """The curves that an animal may be on, as so many drawn ones: shape (DRAWS, 3).

    The columns: final width in mm, rate a year, width at birth in mm.
    """

    def __init__(self, measured: Measured, program: Program) -> None:
        self.measured, self.program = measured, program
        self.curves = _drawn_once(measured, program)

    @property
    def is_own(self) -> bool:
        """Whether it was measured often enough to have a curve of its own."""
        return len(self.measured.ages) >= FEW

    def widths(self, age_years: float) -> Numbers:
        """The width at an age, mm, for each drawn curve."""
        final, rate, birth = self.curves.T
        return np.asarray(final - (final - birth) * np.exp(-rate * age_years))

    def band(self, ages: Numbers) -> Band:
        """Where nine of ten such animals are, without the error of a rule."""
        rows = np.stack([self.widths(float(age)) for age in ages])
        rows.sort(axis=1)  # of what is in order a quantile costs a fifth
        return Band(*np.quantile(rows, (LOW, 0.5, HIGH), axis=1))

    def reaches(self, width: float) -> Span:
        """The ages at which it is so wide, mm."""
        final, rate, birth = self.curves.T
        with np.errstate(invalid="ignore", divide="ignore"):
            ages = np.log((final - birth) / (final - width)) / rate
        ages = np.where(width >= final, np.inf, np.maximum(ages, 0.0))
        found = np.quantile(ages, [LOW, 0.5, HIGH], method="inverted_cdf")
        early, middle, late = (float(one) if np.isfinite(one) else None for one in found)
        return Span(early, middle, late)

    def behind(self, age_years: float, width: float) -> float:
        """The chance that an animal on these curves is measured at so little or less, 0 to 1."""
        from scipy.special import ndtr  # here and below: not loaded where nobody asks

        misses = (width - self.widths(age_years)) / self.program.spreads.noise
        return float(np.mean(ndtr(misses)))


def _drawn_once(measured: Measured, program: Program) -> Numbers:
    """The same figures give the same curves: they are drawn once as long as these are asked for."""
    figures = (
        *(measured.ages.tobytes(), measured.widths.tobytes()),
        *(program.middle, program.spreads, program.animals, program.log_doubt.tobytes()),
    )
    with _lock:
        if figures in _known:
            _known.move_to_end(figures)
            return _known[figures]
    curves = _drawn(measured, program)
    curves.setflags(write=False)
    with _lock:
        _known[figures] = curves
        while len(_known) > MOST_KNOWN:
            _known.popitem(last=False)
    return curves


def _drawn(measured: Measured, program: Program) -> Numbers:
    """Curves drawn around the most likely one, as far apart as it is known."""
    random = np.random.default_rng(SEED)
    middle, spreads = program.middle, program.spreads
    # log final, log rate, width at birth: what is known before this animal was measured
    before = np.array([np.log(middle.final_width), np.log(middle.rate), middle.birth_width])
    in_mm = np.diag([1.0, 1.0, middle.birth_width])
    own = np.diag([FINAL_SPREAD**2, spreads.rate**2, spreads.birth**2])
    apart = in_mm @ program.log_doubt @ in_mm + own
    whitened = np.linalg.inv(np.linalg.cholesky(apart))

    def misses(unknown: Numbers) -> Numbers:
        final, rate, birth = _figures(unknown)
        widths = final - (final - birth) * np.exp(-rate * measured.ages)
        return np.concatenate(
            [(widths - measured.widths) / spreads.noise, whitened @ (unknown - before)]
        )

    def slopes(unknown: Numbers) -> Numbers:
        final, rate, birth = _figures(unknown)
        left = np.exp(-rate * measured.ages)
        by_rate = (final - birth) * left * rate * measured.ages
        by_figure = np.column_stack([final * (1 - left), by_rate, left]) / spreads.noise
        return np.concatenate([by_figure, whitened])

    from scipy.optimize import least_squares

    found = least_squares(misses, before, jac=slopes, x_scale=np.sqrt(np.diag(apart)))
    spread = np.linalg.inv(found.jac.T @ found.jac)
    away = random.multivariate_normal(np.zeros(3), spread, size=DRAWS, method="cholesky")
    # The spreads themselves come from few animals: tails as of Student's t. How few is a rough
    # figure of this project; in simulated litters nine of ten spans then hold.
    freedom = WORTH + program.animals / 3
    away *= np.sqrt(freedom / random.chisquare(freedom, size=DRAWS))[:, None]
    return np.column_stack(_figures((found.x + away).T))


def _figures(unknown: Numbers) -> tuple[Numbers, Numbers, Numbers]:
    final = np.exp(unknown[0])
    rate = np.exp(np.clip(unknown[1], np.log(EARLIEST_RATE), np.log(LATEST_RATE)))
    return final, rate, np.minimum(unknown[2], 0.95 * final)
