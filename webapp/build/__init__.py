"""Construction: the order of the steps and the time they take."""
