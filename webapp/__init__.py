"""Seamslate: a sewing episode held as one linked plan."""
