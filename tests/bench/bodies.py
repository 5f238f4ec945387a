"""Every starter on all of the measured adults: who is refused."""

from collections.abc import Iterator

from tests.outside.test_real_bodies import GROUPS, drafted, refused

Row = tuple[str, str, str]


def body_rows() -> Iterator[Row]:
    """Of each starter, how many of those it is meant for it does not suit."""
    for name in GROUPS:
        yield name, f"{len(refused(name, 1))} of {len(drafted(name, 1))} refused", "0"
