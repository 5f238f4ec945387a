"""The size charts to choose from: those of the standard, the maker's own, the episode's sizes."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from webapp.draft.sizes import SizeChart, chart_of
from webapp.draft.standard_sizes import STANDARD_CHARTS
from webapp.errors import StoreError
from webapp.pages.house import House
from webapp.plan.episode import Episode
from webapp.store.library import Entry, understood

OF_EPISODE: Final = "episode"


@dataclass(frozen=True)
class OfferedChart:
    """A chart under the key that a form sends for it, or why it cannot be read."""

    key: str
    name: str
    chart: SizeChart
    id: str = ""  # of an own one, in the library
    trouble: str = ""


@dataclass(frozen=True)
class OfferedCharts:
    """Every chart there is; the first is a standard one."""

    charts: tuple[OfferedChart, ...]
    out: tuple[Entry, ...]  # own ones taken out of late

    @property
    def named(self) -> list[tuple[str, str]]:
        """Keys and names of those that can be read, for a list to choose from."""
        return [(one.key, one.name) for one in self.charts if not one.trouble]

    @property
    def own(self) -> tuple[OfferedChart, ...]:
        """The maker's own."""
        return tuple(one for one in self.charts if one.id)

    def picked(self, key: str) -> OfferedChart:
        """The chart of that key; the first when there is none, or it cannot be read."""
        found = (one for one in self.charts if one.key == key and not one.trouble)
        return next(found, self.charts[0])


def own_key(id: str) -> str:
    """What a form sends for an own chart; no standard one's key holds a space."""
    return f"own {id}"


def offered_charts(house: House) -> OfferedCharts:
    """The standard's charts, then the own ones by name."""
    standard = (OfferedChart(key, one.name, one) for key, one in STANDARD_CHARTS.items())
    own = (_own(entry) for entry in house.library.entries("chart"))
    return OfferedCharts((*standard, *own), house.library.entries("chart", deleted=True))


def with_episode(offered: OfferedCharts, episode: Episode) -> OfferedCharts:
    """The same with the sizes of the episode as the first chart, when it has any."""
    if not episode.sizes:
        return offered
    name = "The sizes of this episode"
    own = OfferedChart(OF_EPISODE, name, chart_of(name, episode.sizes))
    return OfferedCharts((own, *offered.charts), offered.out)


@lru_cache(maxsize=256)
def _own(entry: Entry) -> OfferedChart:
    key = own_key(entry.id)
    try:
        return OfferedChart(key, entry.name, understood(entry, SizeChart), entry.id)
    except StoreError as error:
        return OfferedChart(key, entry.name, SizeChart(name=entry.name), entry.id, error.sentence)
