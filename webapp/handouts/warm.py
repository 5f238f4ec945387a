"""What printing loads and prepares once, done on import by the process that jobs fork from.

No font is chosen here: Pango does that in a thread of its own, and a process with threads is not
forked safely.
"""

from webapp.handouts.printing import BASE_URL, own_file, why_no_pdf
from webapp.handouts.templating import environment
from webapp.settings import files_dir


def _warm() -> None:
    if why_no_pdf():
        return
    made = environment()
    for name in made.list_templates(filter_func=lambda name: name.startswith("handouts/")):
        made.get_template(name)
    static = files_dir("static")
    for font in static.rglob("*.woff2"):
        own_file(f"{BASE_URL}static/{font.relative_to(static).as_posix()}")


_warm()
