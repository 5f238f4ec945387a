"""Starts a server for each test as the command does, from a process that has it all loaded.

A line on stdin is a data folder, which gets the demo unless it is called `fresh`; the answer is a
line with the number of the server's process and, once it is ready, the line that it prints itself.
"""

import os
import signal
import sys

from webapp.app import create_app
from webapp.cli import main
from webapp.pages.templating import templates
from webapp.plan.evaluate import evaluate
from webapp.settings import files_dir
from webapp.store.episode_file import read_episode


def _load() -> None:
    """What each server would import, compile and lay anew; nothing of it is kept in a folder."""
    import uvicorn.protocols.http.h11_impl  # noqa: F401, PLC0415 - loaded when first used

    assert create_app
    environment = templates().env
    for name in environment.list_templates(extensions=("html",)):
        if not name.startswith("handouts/"):  # printed with filters of their own
            environment.get_template(name)
    for file in files_dir("demo_data").glob("*.json"):
        assert evaluate(read_episode(file.read_bytes())).loose_threads is not None


def serve() -> None:
    """Fork a server for each folder that is asked for."""
    _load()
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for them
    for line in sys.stdin:
        if process := os.fork():
            print(process, flush=True)
            continue
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        folder = line.rstrip("\n")
        demo = [] if folder.endswith("/fresh") else ["--demo"]
        sys.exit(main(["--data", folder, "--port", "0", "--no-browser", *demo]))


if __name__ == "__main__":
    serve()
