"""The video's description for its upload, in plain text: chapters, materials, sizes, cautions."""

from collections.abc import Iterable, Iterator, Set
from itertools import pairwise
from typing import Final

from webapp.draft.names import listed
from webapp.filming.chapters import FEWEST, SHORTEST_S
from webapp.filming.figures import render
from webapp.filming.running_time import to_second
from webapp.handouts.broken_lines import plain
from webapp.handouts.cautions import cautions_for
from webapp.handouts.companion import issue_of, times_to_make
from webapp.handouts.companion_cloth import cloth_to_buy
from webapp.handouts.companion_notions import notions_to_have
from webapp.handouts.companion_sizes import size_tables
from webapp.handouts.companion_view import ClothToBuy, OtherWidths, SizesToBuy, SizeTable
from webapp.handouts.difficulty import difficulty_of
from webapp.handouts.templating import about
from webapp.plan.editions import edition_state
from webapp.plan.misleading import misleading_threads
from webapp.plan.results import Plan
from webapp.plan.screen_time import Video, video
from webapp.plan.ways import WIDTHS, named_widths
from webapp.units import System, both, both_as_cut

LONGEST: Final = 5000  # characters that sites commonly take; common practice, no source
_DRAFT: Final = "Draft: something in this plan does not hold together yet. Do not cut by it."


def description_txt(printed: Plan, filmed: Plan | None = None) -> bytes:
    """The description: materials and sizes of the plan that is `printed`, chapters of the filmed.

    It begins with the word that it is a draft while the plan that is printed would mislead.
    Parts with nothing in them are left out. Chapters too: see `why_no_chapters`.
    """
    filmed = filmed or printed
    first = printed.episode.first_unit
    parts = [
        [_DRAFT] if misleading_threads(printed) else [],
        _head(printed),
        _chapters(video(filmed)),
        _materials(printed, first),
        *(_sizes(table, first, filmed.episode.body.name) for table in size_tables(printed)),
        _cautions(printed),
        _edition(filmed),
    ]
    return ("\n\n".join("\n".join(part) for part in parts if part) + "\n").encode()


def why_no_chapters(shown: Video) -> str:
    """Why chapters there are do not stand in the description; empty when they do.

    From 0:00 on, in order, FEWEST at least, each SHORTEST_S long as its times are told: common
    practice, no source.
    """
    found = shown.chapters
    if not found:
        return ""
    if len(found) < FEWEST:
        return f"There are fewer than {FEWEST}."
    starts = [to_second(one.starts_s) for one in found]
    short = [
        f"“{plain(one.title)}”"
        for one, (begins, ends) in zip(
            found, pairwise([*starts, to_second(shown.seconds)]), strict=True
        )
        if ends - begins < SHORTEST_S
    ]
    if short:
        last = "lasts" if len(short) == 1 else "last"
        return f"{listed(short)} {last} less than {SHORTEST_S:.0f} s."
    return ""


def _head(plan: Plan) -> list[str]:
    """What it is, who makes it, what a viewer will have made, how hard that is and how long."""
    episode = plan.episode
    made_by = _joined(plain(episode.channel), plain(issue_of(plan)))
    promise = render(episode.brief.promise, plan.figures_mm, episode.first_unit).plain
    told = [line for text in promise.splitlines() if (line := plain(text))]
    hard = difficulty_of(plan)
    takes = next((each for each in times_to_make(plan) if not each.is_extra), None)
    level = hard.level if hard else ""
    facts = _joined(level, f"{about(takes.minutes.likely)} to make" if takes else "")
    below = [*told, *([facts] if facts else [])]
    return [plain(episode.title), *([made_by] if made_by else []), *(["", *below] if below else [])]


def _joined(*parts: str) -> str:
    return " · ".join(part for part in parts if part)


def _chapters(shown: Video) -> list[str]:
    if not shown.chapters or why_no_chapters(shown):
        return []
    return ["CHAPTERS", *(f"{one.begins} {plain(one.title)}" for one in shown.chapters)]


def _materials(plan: Plan, first: System) -> list[str]:
    told = [line for lay in plan.lays for line in _cloth(cloth_to_buy(lay, plan), first)]
    for each in notions_to_have(plan):
        told.append(f"- {plain(each.name)}{_after(': ', plain(each.amount))}")
        told += [f"  {plain(sizes)}: {plain(amount)}" for sizes, amount in each.by_size]
    return ["MATERIALS", *told] if told else []


def _cloth(cloth: ClothToBuy, first: System) -> Iterator[str]:
    wide = f"{both(cloth.width_mm, first)} wide" if cloth.width_mm is not None else ""
    what = plain(cloth.description).rstrip(".")
    head = f"- {plain(cloth.name)}{_after(': ', ', '.join(filter(None, (what, wide))))}"
    rows = [_bought(row, first) for row in cloth.purchases]
    if len(rows) == 1:
        yield f"{head}; {rows[0].partition(': ')[2]}"
    else:
        yield head
        yield from (f"  {row}" for row in rows)
    if cloth.other_widths:
        sold = [one for one in WIDTHS if one.mm == cloth.width_mm]
        named = named_widths((f"{cloth.width_mm:g} mm",)) if cloth.width_mm else ()
        own = {name for one in (*sold, *named) for name in (one.cm, one.inch)}
        yield from (f"  {line}" for line in _in_widths(cloth.other_widths, own, first))


def _bought(row: SizesToBuy, first: System) -> str:
    """`S, M: 1.9 m (2 1/8 yd)`, or why there is none."""
    length = _length(row.buy.metres, row.buy.yards, first) if row.buy else ""
    return f"{', '.join(map(plain, row.sizes))}: {' '.join(filter(None, (length, plain(row.why))))}"


def _in_widths(others: OtherWidths, own: Set[str], first: System) -> Iterator[str]:
    """A line for each width, but the cloth's own, that some size can be laid on."""
    for at, (name, other) in enumerate(others.widths):
        if name in own:
            continue
        alike: dict[str, list[str]] = {}
        for sizes, cells in others.rows:
            if buy := cells[at].buy:
                alike.setdefault(_length(buy.metres, buy.yards, first), []).append(plain(sizes))
        if len(alike) == 1 and all(cells[at].buy for _, cells in others.rows):
            yield f"{name} ({other.removeprefix('or ').strip('()')}) wide: {next(iter(alike))}"
        elif alike:
            bought = "; ".join(f"{', '.join(sizes)}: {length}" for length, sizes in alike.items())
            yield f"{name} ({other.removeprefix('or ').strip('()')}) wide: {bought}"


def _length(metres: str, yards: str, first: System) -> str:
    return f"{metres} ({yards})" if first == "cm" else f"{yards} ({metres})"


def _sizes(table: SizeTable, first: System, filmed: str) -> list[str]:
    """What is the same in every size, then each size with the rest; one is worn in the video."""
    rows = [("In every size", _figures(table.alike, first))]
    for size, found in table.rows:
        called = (
            f"{plain(size)} (in the video)"
            if size == filmed and len(table.rows) > 1
            else plain(size)
        )
        rows.append((called, _figures(zip(table.columns, found, strict=True), first)))
    told = [f"{size}: {figures}" for size, figures in rows if figures]
    return [plain(table.title).upper(), *told] if told else []


def _figures(named: Iterable[tuple[str, float | None]], first: System) -> str:
    told = [(plain(name), mm) for name, mm in named]
    return ", ".join(
        f"{name[:1].lower()}{name[1:]} {both_as_cut(mm, first)}"
        for name, mm in told
        if mm is not None
    )


def _cautions(plan: Plan) -> list[str]:
    """Each in a few words; the companion has all of them."""
    found = cautions_for(row.step for row in plan.steps)
    at_work = [one.title.lower() for one in found if not one.look_up]
    told = [f"Take care: {', '.join(at_work)}. The companion says how."] if at_work else []
    told += [f"{one.title}: {one.words.partition('. ')[0].rstrip('.')}. {one.look_up}"
             for one in found if one.look_up]  # fmt: skip
    return ["CAUTIONS", *told] if told else []


def _edition(filmed: Plan) -> list[str]:
    """Which edition viewers have; a draft has not gone out."""
    state = edition_state(filmed)
    return [] if state.is_draft else [f"The companion to print: {state.told}."]


def _after(sign: str, text: str) -> str:
    return f"{sign}{text}" if text else ""
