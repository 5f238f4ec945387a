"""A server as the command starts it, whose prints are slow and leave notes; killed by a test.

Its argument is the folder. In SLOW_SECONDS stands how long a print takes; it appends a line to the
file SLOW_NOTES when it begins and when it ends, with the number of its process.
"""

import os
import sys
import time
from importlib import import_module
from pathlib import Path
from typing import Final

from webapp.jobs import Report
from webapp.pages import prints
from webapp.pages.print_orders import Order
from webapp.pages.printed_files import Printed

_SECONDS: Final = float(os.environ.get("SLOW_SECONDS", "0"))


def slow_print(report: Report, order: Order) -> Printed:
    """A file of nothing, after a while."""
    notes = Path(os.environ["SLOW_NOTES"])
    with notes.open("a") as file:
        file.write(f"+ {order.kind} {os.getpid()}\n")
    report("at it")
    time.sleep(_SECONDS)
    with notes.open("a") as file:
        file.write(f"- {order.kind} {os.getpid()}\n")
    return Printed(b"%PDF", ((595.0, 842.0),))


def main(folder: str) -> None:
    """Serve that folder."""
    from webapp.cli import main as command  # noqa: PLC0415
    from webapp.worker import PROCESSES  # noqa: PLC0415

    prints.print_it = slow_print
    PROCESSES.set_forkserver_preload(["tests.asked_server"])  # nothing is printed for real
    command(["--data", folder, "--port", "0", "--no-browser", "--demo", "--workers", "1"])


if __name__ == "__main__":
    # What a process is given must not be of __main__.
    import_module("tests.asked_server").main(sys.argv[1])
