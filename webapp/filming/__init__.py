"""Filming: shots, live figures in their texts, and the time they take."""
