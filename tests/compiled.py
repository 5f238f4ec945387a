"""Templates that one process of a run has compiled serve its others."""

from pathlib import Path

from jinja2 import FileSystemBytecodeCache

from webapp.pages.templating import templates


def compile_once(of_the_run: Path) -> None:
    """Keep the pages' templates compiled in the folder that the run shares."""
    folder = of_the_run / "templates"
    folder.mkdir(exist_ok=True)
    templates().env.bytecode_cache = FileSystemBytecodeCache(str(folder))
