"""A small memory of what was last computed, safe to share between threads."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Any, Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class Same:
    """Values as a key: known by which they are, not by what they hold, which takes long.

    A tuple is known by what is in it. For values that are never changed. An edit leaves the parts
    of an episode that it does not change the very same (`store.settling`), and so what is worked
    out from these.
    """

    __slots__ = ("_hash", "_which", "values")

    def __init__(self, values: tuple[Any, ...]) -> None:
        self.values = values  # held, so that no other value comes to be where one of them was
        # From a list: hundreds of keys are made for a page, and a generator takes twice as long.
        self._which = tuple(
            [tuple(map(id, one)) if isinstance(one, tuple) else id(one) for one in values]
        )
        self._hash = hash(self._which)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and self._which == other._which

    def __hash__(self) -> int:
        return self._hash


class Remembered(Generic[Key, Value]):
    """The values last asked for, as many as together weigh `most`; one weighs 1 if not told."""

    def __init__(self, most: int, weigh: Callable[[Value], int] = lambda _: 1) -> None:
        self._most, self._weigh, self._weight = most, weigh, 0
        self._kept: OrderedDict[Key, Value] = OrderedDict()
        self._lock = Lock()

    def get(self, key: Key, make: Callable[[], Value]) -> Value:
        """The value of the key, made now if it is not remembered.

        Two threads may make the same value at once; making it twice is harmless.
        """
        known = self.find(key)
        if known is not None:
            return known
        value = make()
        self.put(key, value)
        return value

    def find(self, key: Key) -> Value | None:
        """The value of the key; None if it is not remembered."""
        with self._lock:
            value = self._kept.get(key)
            if value is not None:
                self._kept.move_to_end(key)
            return value

    def forget(self) -> None:
        """Forget everything."""
        with self._lock:
            self._kept.clear()
            self._weight = 0

    def put(self, key: Key, value: Value) -> None:
        """Remember a value, and forget those that were not asked for the longest."""
        with self._lock:
            if key in self._kept:
                self._weight -= self._weigh(self._kept.pop(key))
            self._kept[key] = value
            self._weight += self._weigh(value)
            while self._weight > self._most:
                self._weight -= self._weigh(self._kept.popitem(last=False)[1])
