"""Minutes of a step by the rates alone, all its kinds of work together."""

from collections.abc import Sequence

from webapp.build.rates import RATES, Rates
from webapp.build.work_time import Estimate, step_parts, total
from webapp.draft.construction import Step
from webapp.draft.evaluate import Draft


def step_minutes(step: Step, drafts: Sequence[Draft], rates: Rates = RATES) -> Estimate:
    """Their total. FigureError when its work is on what is not drafted."""
    return total([part.table for part in step_parts(step, drafts, rates)])
