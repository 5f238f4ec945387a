"""`python -m webapp` is the command `seamslate`."""

import sys

from webapp.cli import main

sys.exit(main())
