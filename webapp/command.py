"""What to type at a terminal, so that a command of ours acts on these plans and on no others."""

import shlex
import shutil
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Final

from webapp.settings import default_data_dir, without_password

ELSEWHERE: Final = "If your plans are elsewhere, name their folder with --data."
_NAME: Final = "seamslate"
_OF_PLANS: Final = ((), ("backup",), ("restore",), ("doctor",))  # what else takes `--database`


def to_type(data_dir: Path, *words: str, database: str = "") -> str:
    """The command of these `words` for the plans in a folder, or in a database that is named.

    It can be typed in any folder as it stands, and is told on a line of its own: a path that was
    broken is another. A password in the address is left out: see `settings.from_options`. Where no
    database is named, that is said too: the terminal may have one in its environment.
    """
    where = [] if data_dir == default_data_dir() else ["--data", str(data_dir)]
    if database:
        where += ["--database", without_password(database)]
    elif words[:1] in _OF_PLANS and _may_be_served():
        where += ["--database="]
    return shlex.join([_program(), *words[:1], *where, *words[1:]])


def _may_be_served() -> bool:
    """Whether plans on a server can be opened here; few have the driver."""
    return find_spec("psycopg") is not None


def to_install(*packages: str) -> str:
    """How Debian's packages are installed, as it can be typed on this computer."""
    sudo = ["sudo"] if shutil.which("sudo") else []  # where there is none, root types it
    return shlex.join([*sudo, "apt-get", "install", *packages])


def _program() -> str:
    """Where the command lies: a terminal may not find it by its name."""
    started = Path(sys.argv[0])
    own = started if started.stem == _NAME else Path(sys.executable).with_name(_NAME)
    return str(own.absolute()) if own.is_file() else _NAME
