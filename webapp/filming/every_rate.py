"""Every rate there is, in one table: of the work, of filming, of speaking and of what follows."""

from types import MappingProxyType
from typing import Final

from webapp.build.rates import RATES, Rate, Rates
from webapp.filming.filming_time import FILMING_RATES
from webapp.filming.running_time import SPEAKING

EDITING: Final = Rate(
    "editing", "of a finished minute, from rough cut to polish", 2 / 3, 4 / 3, 3, "h a minute",
    "a beginner's 3 minutes: 2 h to edit them, 2 h more with the polish; 2 to 3 h a minute with "
    "all else: thescientistvideographer.com",
)  # fmt: skip
VOICE_OVER: Final = Rate(
    "voice-over", "said at the desk until it is right, and listened to", 2, 3.5, 6, "× spoken time"
)
EVERY_RATE: Final[Rates] = MappingProxyType(
    {
        **RATES,
        **FILMING_RATES,
        **{rate.key: rate for rate in (SPEAKING, VOICE_OVER, EDITING)},
    }
)
