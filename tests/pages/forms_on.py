"""The forms of a page as a browser sees them."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass
class Form:
    """Where it is sent, and its fields by name with what stands in them; files by name alone."""

    action: str
    fields: dict[str, str] = field(default_factory=dict)
    typed: set[str] = field(default_factory=set)  # fields that she fills in or chooses
    files: set[str] = field(default_factory=set)

    @property
    def kind(self) -> tuple[str, ...]:
        """The same for forms that ask the same of another thing, but for their place."""
        path = self.action.partition("?")[0].rpartition("/")
        return (str(path[0].count("/")), path[2], *sorted(self.fields))


def forms_on(html: str) -> Iterator[Form]:
    """The forms of a page that change something."""
    reader = _Reader()
    reader.feed(html)
    for form_id, (name, value, typed) in reader.apart:  # a field that stands outside its form
        if form := reader.named.get(form_id):
            form.fields.setdefault(name, value)
            form.typed |= {name} if typed else set()
    yield from reader.forms


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self.named: dict[str, Form] = {}
        self.apart: list[tuple[str, tuple[str, str, bool]]] = []
        self._form: Form | None = None
        self._choosing = self._writing = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._form = None
            if told.get("method", "").lower() == "post":
                self._form = Form(told["action"])
                self.forms.append(self._form)
                self.named[told.get("id", "")] = self._form
        elif tag in ("input", "button", "select", "textarea") and told.get("name"):
            self._field(tag, told)
        elif tag == "option" and self._choosing and self._form and "selected" in told:
            self._form.fields[self._choosing] = told.get("value", "")

    def _field(self, tag: str, told: dict[str, str]) -> None:
        name, kind = told["name"], told.get("type", "")
        typed = kind not in ("hidden", "submit") and tag != "button"
        if told.get("form"):
            self.apart.append((told["form"], (name, told.get("value", ""), typed)))
            return
        if self._form is None:
            return
        if kind == "file":
            self._form.files.add(name)
            return
        if kind in ("checkbox", "radio") and "checked" not in told:
            self._form.fields.setdefault(name, "")
        else:
            self._form.fields[name] = told.get("value", "")
        self._form.typed |= {name} if typed else set()
        self._choosing = name if tag == "select" else self._choosing
        self._writing = name if tag == "textarea" else ""

    def handle_data(self, data: str) -> None:
        if self._writing and self._form:
            self._form.fields[self._writing] += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None
        elif tag == "select":
            self._choosing = ""
        elif tag == "textarea":
            self._writing = ""
