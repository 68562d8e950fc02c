"""
What trimming did, for a person at a terminal.

What was changed, by what it was changed for; what could not be as it was asked for, and why; what is found
less, and what is found still; and the proof.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from math import floor
from typing import Final

from rich.console import RenderableType
from rich.padding import Padding
from rich.text import Text

from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._phrases import components, many, side
from pastecheck.reporters._printing import printed
from pastecheck.reporters._styles import QUIET, note
from pastecheck.reporters.terminal import about_files
from pastecheck.trim.outcome import Findings, Group, Size, Trimming
from pastecheck.trim.plan import Held, Why
from pastecheck.units import shown, shown_um

SIZES_SHOWN: Final = 6
"""Of what was changed for one reason; the rest is told together."""
_SET_IN: Final = 4
FINDINGS_TITLE: Final = "Findings as drawn -> as trimmed"
_HAIR: Final = 0.01
"""Of a per cent: shares are off by the rounding of places."""
_FINEST_MM2: Final = 1e-6

DONE_BEFORE: Final = (
    "the file says that this was done to it before; what is relative to the size as drawn (chips, "
    "panes, selected openings) is not done again"
)

TITLES: Final[Mapping[Why, str]] = {
    Why.ROWS: "Leads in rows, narrowed for the gap between them",
    Why.CHIPS: "Chips, less at their inner edges",
    Why.THERMAL: "Thermal lands, in panes",
    Why.LARGE: "Large openings, in panes",
    Why.SELECTED: "Openings that the rule set selects",
    Why.CORNERS: "Corners, rounded",
    Why.ERRORS: "Openings with errors, as pastecheck check advises",
    Why.CIRCLES: "Small circles, as squares",
    Why.ISLANDS: "Openings round a piece of foil that would fall out",
    Why.UNCHANGED: "Left as drawn, though not as it should be",
}


def rendered(done: Trimming, *, width: int = 100, colour: bool = False) -> str:
    """
    Trimming as text.

    Args:
        done: What was done.
        width: Columns of the terminal.
        colour: Whether to mark with colour what the words say.
    """
    return printed(_parts(done), width, colour=colour)


def _parts(done: Trimming) -> Iterator[RenderableType]:
    yield Text(harmless(done.file), style="bold", overflow="fold")
    yield note(head(done))
    yield from (note(f"note: {notice}") for notice in done.rule_set.notices)
    yield from (note(f"note: {one}") for one in done.notes)
    if done.was_trimmed:
        yield note(DONE_BEFORE)
    yield from about_files(done.diagnostics, done.file, beside=True)
    yield ""
    for why, groups in by_reason(done.groups):
        yield from _of_one_reason(why, groups)
    if nothing := nothing_told(done):
        yield Text(nothing)
        yield ""
    yield from _before_and_after(done)


def by_reason(groups: Sequence[Group]) -> Iterator[tuple[Why, list[Group]]]:
    """Groups by what they were changed for, in the order in which they are told."""
    in_order = sorted(groups, key=lambda group: list(TITLES).index(group.why))
    for why, its in groupby(in_order, key=lambda group: group.why):
        yield why, list(its)


def nothing_told(done: Trimming) -> str:
    """That nothing was changed, where it is so; else empty."""
    if any(group.why is not Why.UNCHANGED for group in done.groups):
        return ""
    return "Nothing was changed: " + ("see above" if done.groups else "it is as the rule set asks")


def head(done: Trimming) -> str:
    """What it was trimmed by, and where the result went."""
    rule_set = done.rule_set
    foil = f"{rule_set.foil.name}, {shown_um(rule_set.foil.thickness_mm)}"
    asked = f"; asked for: {', '.join(done.asked)}" if done.asked else ""
    grows = "; openings may grow" if done.grows else ""
    if done.is_written:
        where = f"written to {done.out}"
    else:
        where = f"a trial: {done.out} was not written" if done.out else "a trial: nothing was written"
    return f"trimmed by {rule_set.name} ({foil}){asked}{grows}; {where}"


def _of_one_reason(why: Why, groups: Sequence[Group]) -> Iterator[RenderableType]:
    yield Text(TITLES[why])
    for group in groups[:SIZES_SHOWN]:
        yield Padding(Text(harmless(line(group))), (0, 0, 0, 2))
        for text in said_of(group):
            yield Padding(Text(harmless(text), style=QUIET), (0, 0, 0, _SET_IN))
    if rest := left_told(groups[SIZES_SHOWN:]):
        yield note(rest)
    yield ""


def left_told(groups: Sequence[Group]) -> str:
    """That there are more; empty where there are none."""
    if not groups:
        return ""
    count = many(sum(len(group.rows) for group in groups), "opening")
    return f"and {count} of {many(len(groups), 'more size')}: --json FILE tells every one"


def said_of(group: Group) -> list[str]:
    """What is found less or more of a group, or still, and why it is not what was asked for."""
    return list(filter(None, [*_found(group.findings), group.says]))


def line(group: Group) -> str:
    """How many, from what size to what size, with how much paste."""
    count = many(len(group.rows), "opening")
    of = f" of {components(group.components)}" if group.components else ""
    drawn = size_told(group.drawn)
    if group.why is Why.UNCHANGED:
        return f"{count}{of}, {drawn}{_share(group)}"
    parts = f"{many(group.became, 'opening')} of " if group.became > len(group.rows) else ""
    volumes = " -> ".join(shown(one, "mm3").removesuffix(" mm3") for one in group.volume_mm3)
    paste = f"paste {volumes} mm3, {_percent(group.volume_mm3.after / group.volume_mm3.before)}"
    return f"{count}{of}, {drawn} -> {parts}{size_told(group.trimmed)}: {paste}{_share(group)}"


def size_told(one: Size) -> str:
    """Width and length, or the diameter."""
    return (
        f"{side(one.width_mm)} mm round"
        if one.is_round
        else f"{side(one.width_mm)} x {side(one.length_mm)} mm"
    )


def _percent(share: float) -> str:
    """Rounded down: what starves must not look as if it did not."""
    return f"{floor(100 * share + _HAIR)} %"


def _share(group: Group) -> str:
    """Of what leads are given in metal foil: what a person understands."""
    if group.reference_share is None:
        return ""
    before, after = (_percent(share) for share in group.reference_share)
    what = f"{after}" if before == after else f"{before} -> {after}"
    return f" ({what} of what metal foil gives)"


def _found(findings: Sequence[Findings]) -> Iterator[str]:
    """What is found less of some openings, or more; and what is found as before."""
    for begins, as_before in (("", False), ("still ", True)):
        told = [f"{one.check}: {_counts(one)}" for one in findings if _is_as_before(one) == as_before]
        if told:
            yield begins + "; ".join(told)


def _is_as_before(one: Findings) -> bool:
    return one.errors[0] == one.errors[1] and one.warnings[0] == one.warnings[1]


def _counts(one: Findings) -> str:
    told = []
    for name, (before, after) in (("error", one.errors), ("warning", one.warnings)):
        if before or after:
            told.append(many(after, name) if before == after else f"{many(before, name)} -> {after}")
    return ", ".join(told)


def _before_and_after(done: Trimming) -> Iterator[RenderableType]:
    """All findings, all paste, and the proof."""
    if done.findings:
        yield Text(FINDINGS_TITLE)
        yield from map(note, findings_told(done))
        yield ""
    yield Text("In all")
    yield from map(note, in_all_told(done))
    yield ""


def findings_told(done: Trimming) -> list[str]:
    """What is found in the whole layer, by checks."""
    return [f"{one.check}: {_counts(one)}{_warned_now(one)}" for one in done.findings]


def in_all_told(done: Trimming) -> list[str]:
    """Openings and paste of the whole layer, and the proof."""
    before, after = done.openings
    openings = f"{many(before, 'opening')}{f' -> {after}' if after != before else ''}"
    volumes = [shown(one, "mm3") for one in done.volume_mm3]
    share = _percent(done.volume_mm3.after / done.volume_mm3.before)
    digits = 3 if done.bound_mm2 >= 1e-3 else 6
    less_than_mm2 = (floor(done.difference_mm2 / _FINEST_MM2) + 1) * _FINEST_MM2
    proof = (
        f"proof: read back and judged again: {many(after, 'opening')}, none lost, none merged; less than "
        f"{less_than_mm2:.6f} mm2 in all off what was meant, where "
        f"{done.bound_mm2:.{digits}f} mm2 would be rounding"
    )
    told = [f"{openings}; paste {' -> '.join(volumes)} ({share})", proof]
    if any(group.held is Held.GROWTH for group in done.groups):
        told.append("what is too small is left to you: draw it larger, or add --grow")
    return told


def _warned_now(one: Findings) -> str:
    """Errors that became warnings are said to be such."""
    less, more = one.errors[0] - one.errors[1], one.warnings[1] - one.warnings[0]
    if less <= 0 or more <= 0:
        return ""
    return f" ({many(min(less, more), 'error')} less, but as {many(min(less, more), 'warning')})"
