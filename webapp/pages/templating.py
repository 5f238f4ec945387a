"""The templates' environment: escaping on, a missing name is an error, both units as filters."""

import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any, Final
from uuid import uuid4

from fastapi import Request
from fastapi.templating import Jinja2Templates
from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from jinja2.compiler import CodeGenerator, Frame
from jinja2.nodes import Expr
from jinja2.runtime import Context, Macro
from jinja2.utils import internalcode
from markupsafe import Markup, escape

from webapp.build.work_time import minutes
from webapp.cloth.cloths import EpisodeCloth
from webapp.cloth.costs import price_by_length
from webapp.cloth.drawing import draw_lay
from webapp.cloth.laid import Lay
from webapp.draft.drawing import draw_piece
from webapp.draft.evaluate import Piece
from webapp.draft.measures import MEASURES, doubts
from webapp.draft.names import as_listed, plural
from webapp.draft.recipe import Notion
from webapp.filming.running_time import clock
from webapp.filming.shoot_days import told_clock, told_day
from webapp.pages.forms import value_shown
from webapp.pages.kept_parts import KeptParts
from webapp.pages.live_texts import text_view
from webapp.pages.move_forms import chosen
from webapp.pages.seam_fields import edge_uses_shown, notches_shown
from webapp.pages.series_shared import series_address
from webapp.pages.wording import (
    about,
    allowance,
    allowance_in_both,
    at_least,
    both_unbroken,
    bought,
    called,
    ended,
    figure_in_both,
    summed,
    told,
    typed_in_both,
    usually,
    weighed,
    whole,
    whole_in_order,
)
from webapp.remembered import Remembered, Same
from webapp.serving import versioned
from webapp.settings import files_dir
from webapp.units import System

# On a screen a drawing stands smaller than on paper: its letters are a larger share of it.
_LETTERING: Final = 0.036
_LAY_LETTERING: Final = 1 / 36
_TO_ESCAPE: Final = re.compile("[&<>'\"]")
_drawings: Final[Remembered[tuple[object, ...], Markup]] = Remembered(500)
_lays: Final[Remembered[tuple[Same, str, System], Markup]] = Remembered(50)


class _Templates(FileSystemLoader):
    """The templates, in which every address below /static names the content that lies there."""

    def get_source(
        self, environment: Environment, template: str
    ) -> tuple[str, str, Callable[[], bool]]:
        source, path, is_current = super().get_source(environment, template)
        return versioned(source, files_dir("static")), path, is_current


class _Context(Context):
    """A context that calls a macro at once: most of what a page calls are macros, and to ask each
    time whether it wants the context takes as long as the call."""

    @internalcode
    def call(self, called_: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Any:
        """What the call returns."""
        if type(called_) is not Macro:
            return super().call(called_, *args, **kwargs)
        kwargs.pop("_block_vars", None)
        kwargs.pop("_loop_vars", None)
        return called_(self.eval_ctx, *args, **kwargs)


class _Writer(CodeGenerator):
    """Has what an escaping template shows written out by `_Environment.escaped`."""

    def _output_child_pre(self, node: Expr, frame: Frame, finalize: Any) -> None:
        if frame.eval_ctx.autoescape and not frame.eval_ctx.volatile and finalize.src is None:
            self.write("environment.escaped(")
        else:
            super()._output_child_pre(node, frame, finalize)


class _Environment(Environment):
    code_generator_class = _Writer
    context_class = _Context

    @staticmethod
    def escaped(shown: object) -> str:
        """What is shown, escaped; as it is where it holds nothing to escape, since a `Markup` made
        of each piece of a page takes a tenth of its time."""
        if isinstance(shown, Markup) or (type(shown) is str and not _TO_ESCAPE.search(shown)):
            return shown
        return str(shown) if type(shown) is int else escape(shown)


@cache
def templates() -> Jinja2Templates:
    """The environment over the templates folder: one for all apps, so each compiles once."""
    environment = _Environment(
        loader=_Templates(files_dir("templates")),
        autoescape=select_autoescape(("html", "svg")),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,  # the files are as they were installed: none is looked at for each page
    )
    environment.filters.update(
        allowance=allowance,
        at_least=at_least,
        both=both_unbroken,
        as_listed=as_listed,
        bought=bought,
        priced=_priced,
        called=called,
        clock=clock,
        clock_told=told_clock,
        in_order=whole_in_order,
        in_words=told_day,
        minutes=minutes,
        told=told,
        typed_in_both=typed_in_both,
        weighed=weighed,
        whole=whole,
        drawn=_drawn,
        drawn_lay=_drawn_lay,
        about=about,
        usually=usually,
    )
    environment.globals.update(
        ended=ended,
        plural=plural,
        summed=summed,
        figure_in_both=figure_in_both,
        allowance_in_both=allowance_in_both,
        measures=MEASURES,
        measure_doubts=measure_doubts,
        chosen=chosen,
        edge_uses_shown=edge_uses_shown,
        notches_shown=notches_shown,
        series_address=series_address,
        text_view=text_view,
        value_shown=value_shown,
        fresh_id=lambda: uuid4().hex,
    )
    return Jinja2Templates(env=environment, context_processors=[_collected])


def _priced(sold: EpisodeCloth | Notion, currency: str, first: System) -> str:
    """The price of what is sold by length; empty when it has none."""
    return price_by_length(sold.price, sold.price_per, currency, first) if sold.price else ""


def measure_doubts(typed: Mapping[str, str], first: System) -> dict[str, str]:
    """What to look at again of a body's measures, by measure."""
    return dict(reversed(list(doubts(typed, first))))


def _collected(_: Request) -> dict[str, Any]:
    """What a page collects while it is made: its entries to mend (parts/forms.html), and the parts
    of it that are kept."""
    return {"to_mend": [], "kept": KeptParts()}


def _drawn(
    piece: Piece, first: System, *, pickable: bool = False, lettering: float = _LETTERING
) -> Markup:
    """The piece as an SVG drawing; draw_piece escapes every text in it.

    Placing the labels takes longer than the rest of the page, so drawings are remembered by
    what they show: after an edit only the pieces it changed are drawn again.
    """
    lengths = tuple(piece.shown_mm.items())
    shown = (piece.name, piece.cut_count, piece.on_fold, piece.grain, first, lengths)
    key = (*shown, piece.outline, tuple(piece.cut_points), piece.markings, pickable)

    def made() -> Markup:
        return Markup(draw_piece(piece, first, pickable=pickable, lettering=lettering))

    return _drawings.get((*key, lettering), made)


def _drawn_lay(lay: Lay, title: str, first: System) -> Markup:
    """The lay as an SVG drawing; draw_lay escapes every text in it. Remembered by which lay it is:
    edits of other things leave it the same."""
    return _lays.get(
        (Same((lay,)), title, first),
        lambda: Markup(draw_lay(lay, first, title, lettering=_LAY_LETTERING)),
    )
