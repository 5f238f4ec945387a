"""How times are told in the table."""

import statistics
from collections.abc import Sequence


def ms(seconds: float, decimals: int = 1) -> str:
    """Seconds as milliseconds."""
    return f"{1000 * seconds:,.{decimals}f} ms"


def p95(times: Sequence[float]) -> float:
    """The value that 95 of 100 stay under."""
    return statistics.quantiles(times, n=20)[-1]
