"""Measurements, printed as a table: `python -m tests.bench`. Nothing here passes or fails."""
