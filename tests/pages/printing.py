"""Printing for tests of the pages: at once and in this process, a leaf of nothing for a sheet."""

import io
from collections.abc import Callable
from typing import Any

import pypdfium2  # type: ignore[import-untyped]
import pytest

from webapp.jobs import Job, Jobs
from webapp.pages import prints
from webapp.pages.print_orders import Order
from webapp.pages.printed_files import Printed

A4_PT = (595.28, 841.89)  # ISO 216: 210 × 297 mm, at 72 points to the inch


def leaves(count: int) -> bytes:
    """A PDF of so many empty A4 pages."""
    document, content = pypdfium2.PdfDocument.new(), io.BytesIO()
    for _ in range(count):
        document.new_page(*A4_PT)
    document.save(content)
    document.close()
    return content.getvalue()


def print_leaves(_: object, order: Order) -> Printed:
    """Three empty pages, whatever is ordered."""
    assert order.key
    return Printed(leaves(3), (A4_PT,) * 3)


def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every job be done when it is started, in this process."""

    def start(
        self: Jobs,
        key: str,
        work: Callable[..., Any],
        *arguments: Any,
        when_done: Callable[[Any], object],
        when_stopped: Callable[[Any], object] | None = None,
        hand_over: bool = False,
        **_told: object,  # how the job is called while it goes on
    ) -> Job:
        assert when_stopped is None or not hand_over
        result = work(lambda *_: None, *arguments)
        when_done(result)
        self._jobs[key] = Job(key, "done", result=None if hand_over else result)
        return self._jobs[key]

    monkeypatch.setattr(Jobs, "start", start)


def empty_leaves_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Print nothing but empty leaves, at once."""
    at_once(monkeypatch)
    monkeypatch.setattr(prints, "print_it", print_leaves)
