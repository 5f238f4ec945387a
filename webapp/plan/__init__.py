"""The episode as one linked plan, and every figure computed from it."""
