"""How many of each joint must be broken to tell joints apart: power of the t test on logarithms.

Break loads of wood are taken as lognormal, so two joints are compared by the ratio of their medians. The
power of the two-sided two-sample t test follows from the noncentral t distribution (Cohen 1988, Statistical
power analysis for the behavioral sciences, chapter 2; Student 1908). Several pairs share the risk of a false
claim evenly (Bonferroni).
"""

from __future__ import annotations

from math import log, sqrt

from scipy import stats

from glueline.studies.predict.scatter.lognormal import LognormalLoad


def widened_by_steps(log_deviation: float, step_share: float) -> float:
    """Log deviation as seen through load steps that are ``step_share`` of the mean: s2 + h2 / 12.

    Grouping adds the variance of an even spread over the step (Sheppard 1898).
    """
    return sqrt(log_deviation**2 + step_share**2 / 12)


def power_of_test(effect: float, replicates: int, significance: float) -> float:
    """Power of the two-sided two-sample t test with ``replicates`` on either side.

    ``effect`` is the difference of means over the common standard deviation.
    """
    freedom = 2 * replicates - 2
    shift = abs(effect) * sqrt(replicates / 2)
    limit = float(stats.t.ppf(1 - significance / 2, freedom))
    # The far tail by symmetry: SciPy's cdf returns no number where that tail is very small.
    tails = stats.nct.sf(limit, freedom, shift) + stats.nct.sf(limit, freedom, -shift)
    return min(float(tails), 1.0)


def replicates_for_pair(
    first: LognormalLoad, second: LognormalLoad, *, significance: float, power: float, most: int
) -> int | None:
    """Least number of each of two joints to tell them apart; None where ``most`` of each are not enough.

    The common standard deviation is the root mean square of the two.
    """
    spread = sqrt((first.log_deviation**2 + second.log_deviation**2) / 2)
    difference = abs(log(first.median / second.median))
    if difference == 0:
        return None
    effect = difference / spread if spread > 0 else float("inf")

    def enough(count: int) -> bool:
        return effect == float("inf") or power_of_test(effect, count, significance) >= power

    if not enough(most):
        return None
    low, high = 1, most  # low is not enough, high is
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return max(high, 2)


def replicates_for_precision(log_deviation: float, within: float, confidence: float, most: int) -> int | None:
    """Least number whose confidence interval of the median reaches a factor 1 + ``within`` at most.

    None where ``most`` are not enough.
    """
    for count in range(2, most + 1):
        quantile = float(stats.t.ppf(0.5 + confidence / 2, count - 1))
        if quantile * log_deviation / sqrt(count) <= log(1 + within):
            return count
    return None
