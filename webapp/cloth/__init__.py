"""Cloth: how the pieces lie on it and how much to buy."""
