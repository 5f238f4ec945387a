"""A small memory of what was last computed, safe to share between threads."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class Remembered(Generic[Key, Value]):
    """The values of the last `most` keys asked for."""

    def __init__(self, most: int) -> None:
        self._most = most
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
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def put(self, key: Key, value: Value) -> None:
        """Remember a value, and forget the one that was not asked for the longest."""
        with self._lock:
            self._kept[key] = value
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
