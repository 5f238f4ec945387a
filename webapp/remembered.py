"""A small memory of what was last computed, safe to share between threads."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


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
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def put(self, key: Key, value: Value) -> None:
        """Remember a value, and forget those that were not asked for the longest."""
        with self._lock:
            if key in self._kept:
                self._weight -= self._weigh(self._kept.pop(key))
            self._kept[key] = value
            self._weight += self._weigh(value)
            while self._weight > self._most:
                self._weight -= self._weigh(self._kept.popitem(last=False)[1])
