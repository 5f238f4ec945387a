"""Which of several processes answers for an episode."""

from dataclasses import dataclass
from typing import Final
from zlib import crc32


@dataclass(frozen=True)
class Share:
    """The episodes of one process, the one of that number `of` so many; of one, all of them."""

    number: int = 0
    of: int = 1

    def holds(self, episode_id: str) -> bool:
        """Whether the episode is among them: always with the same process, so that what that one
        remembers of it serves again."""
        return place_of(episode_id, self.of) == self.number


ALL: Final = Share()


def place_of(episode_id: str, among: int) -> int:
    """The number of the process, `among` so many, that has the episode."""
    return crc32(episode_id.encode("utf-8", "surrogatepass")) % among
