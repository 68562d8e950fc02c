"""What a person reads of a comparison; the whole of one stands in golden/comparison.txt."""

import re
from pathlib import Path

import pytest

from pastecheck.reporters._told import Rows, Size
from pastecheck.revisions import compared
from pastecheck.revisions.comparison import Kind
from pastecheck.revisions.groups import Group, groups
from pastecheck.revisions.terminal import GROUPS_SHOWN, rendered
from pastecheck.revisions.words import changed, where
from tests.revisions.revised import Slot, compared_texts, only, revision, text_of

GOLDEN = Path(__file__).parent / "golden" / "comparison.txt"

SLOT, SHORT, DISC = Size(0.3, 1.5, False), Size(0.28, 1.4, False), Size(0.4, 0.4, True)
LARGE = Size(0.45, 0.45, True)
HERE = (1.0, 2.0, 1.0, 2.0)


def group(kind: Kind, count: int, among: int, old: Size | None, new: Size | None, **how: object) -> Group:
    told = {"components": ("U3",), "rows": None, "moved_mm": (0.0, 0.0), "within_mm": HERE, **how}
    return Group(kind, count, among, old=old, new=new, **told)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (
            group(Kind.RESIZED, 25, 48, SLOT, SHORT),
            (
                "U3: 25 of 48 openings narrower by 0.02 mm and shorter by 0.10 mm, "
                "0.30 x 1.50 mm -> 0.28 x 1.40 mm"
            ),
        ),
        (
            group(Kind.RESIZED, 2, 2, DISC, LARGE, components=("C1", "C2")),
            "C1 and C2: both openings larger by 0.05 mm, 0.40 mm round -> 0.45 mm round",
        ),
        (
            group(Kind.RESIZED, 1, 1, SHORT, SLOT, moved_mm=(0.0, -0.05)),
            (
                "U3: 1 opening wider by 0.02 mm and longer by 0.10 mm and moved by (0.00, -0.05) mm, "
                "0.28 x 1.40 mm -> 0.30 x 1.50 mm"
            ),
        ),
        (
            group(Kind.RESHAPED, 3, 3, SLOT, SLOT),
            "U3: all 3 openings of another outline, 0.30 x 1.50 mm",
        ),
        (
            group(Kind.MOVED, 48, 48, SLOT, SLOT, moved_mm=(0.5, 0.0)),
            "U3: all 48 openings moved by (0.50, 0.00) mm, 0.30 x 1.50 mm",
        ),
        (
            group(Kind.ADDED, 2, 9, None, DISC, components=()),
            "2 openings added, 0.40 mm round",
        ),
        (
            group(Kind.REMOVED, 8, 90, SLOT, None, components=(), rows=Rows(2, 8, 0.5, 0.5, False)),
            "8 of 90 openings removed, in two rows at 0.50 mm pitch, 0.30 x 1.50 mm",
        ),
    ],
)  # fmt: skip
def test_a_group_of_changes_is_a_line(told: Group, words: str) -> None:
    assert changed(told) == words


def test_a_place_is_told_once_where_there_is_only_one() -> None:
    one = group(Kind.MOVED, 1, 1, SLOT, SLOT)
    assert where(one) == "at (1.00, 2.00) mm"
    assert (
        where(group(Kind.MOVED, 2, 2, SLOT, SLOT, within_mm=(1.0, 2.0, 3.0, 4.0)))
        == "(1.00, 2.00) to (3.00, 4.00) mm"
    )


ROW = [Slot(0.5 * k, 0.0, 0.25, 1.5, "U3") for k in range(12)]
CHIPS = [Slot(10.0 + 2.3 * k, 3.0 * j, 0.6, 0.7, f"R{j}") for j in range(3) for k in range(2)]
BARE = [Slot(3.0 * k, 9.0, 1.0, 1.2) for k in range(5)]


def old_and_new() -> tuple[list[Slot], list[Slot]]:
    narrower = [slot._replace(across=0.2) if k < 7 else slot for k, slot in enumerate(ROW)]
    moved = [slot.moved(0.4, 0.0) if slot.label == "R1" else slot for slot in CHIPS]
    return [*ROW, *CHIPS, *BARE], [*narrower, *moved, *BARE[1:], Slot(20.0, 20.0, 0.1, 1.0, "X1")]


def test_a_comparison_reads_as_in_the_golden_file(*, update_golden: bool) -> None:
    old, new = old_and_new()
    comparison = compared(
        revision(text_of(old), text_of(BARE), name="old"),
        revision(text_of(new, dx=12.7, dy=12.7), text_of(BARE), name="new"),
    )
    told = rendered(comparison)
    if update_golden:
        GOLDEN.parent.mkdir(exist_ok=True)
        GOLDEN.write_text(told, encoding="utf-8")
    assert told == GOLDEN.read_text(encoding="utf-8")


def test_quietly_there_is_a_line_for_each_layer() -> None:
    old, new = old_and_new()
    comparison = compared(
        revision(text_of(old), text_of(BARE), name="old"), revision(text_of(new), name="new")
    )
    first, second, end = rendered(comparison, quiet=True).split("\n")
    assert first.startswith("new: ")
    assert first.endswith(": new/top.gbr")
    assert second == "no longer there: old/bottom.gbr"
    assert not end


def test_components_that_were_changed_alike_are_told_together() -> None:
    chips = [slot._replace(across=0.55) for slot in CHIPS]
    (told,) = groups(only(compared_texts(text_of([*CHIPS, *BARE]), text_of([*chips, *BARE]))))
    assert (told.count, told.among, told.components) == (6, 6, ("R0", "R1", "R2"))


def test_no_more_groups_are_shown_than_a_person_reads() -> None:
    slots = [Slot(2.0 * k, 0.0, 0.5 + 0.02 * k, 1.5) for k in range(GROUPS_SHOWN + 3)]
    wider = [slot._replace(along=1.6) for slot in slots]
    told = rendered(compared_texts(text_of(slots), text_of(wider)))
    assert told.count("longer by 0.10 mm") == GROUPS_SHOWN
    assert "and 3 more changes of 3 openings: --json FILE writes every one" in told


def test_colour_only_repeats_what_the_words_say() -> None:
    old, new = old_and_new()
    comparison = compared_texts(text_of(old), text_of(new))
    coloured = rendered(comparison, colour=True)
    assert "\x1b[" in coloured
    bare = re.sub(r"\x1b\[[0-9;]*m", "", coloured)
    assert [line.rstrip() for line in bare.split("\n")] == rendered(comparison).split("\n")


def test_layers_that_hardly_resemble_each_other_are_told_as_such() -> None:
    other = [Slot(7.0 * k, 1.7 * k * k, 0.9, 1.1) for k in range(9)]
    assert "these may be two different boards" in rendered(compared_texts(text_of(CHIPS), text_of(other)))
    mirrored = [slot._replace(x=-slot.x) for slot in other]
    assert "it lies mirrored to what it was" in rendered(compared_texts(text_of(other), text_of(mirrored)))
