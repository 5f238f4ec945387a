"""How tasks are brought into the cheapest order; `webapp.filming.sequence` is its door."""
