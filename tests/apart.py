"""Asynchronous work in a thread: a browser of tests before has a loop of its own in this one."""

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

Result = TypeVar("Result")


def run_apart(work: Coroutine[Any, Any, Result]) -> Result:
    """What it returns."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, work).result()
