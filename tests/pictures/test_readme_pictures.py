"""Pictures that README shows, drawn anew from fixtures; with `--update-golden` they are written."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pastecheck import board_files, layers, rulesets, run
from pastecheck.board_files import Option
from pastecheck.pictures import on_paper, picture_of

KNIFE = "polyester-75-knife"
PASTE, OUTLINE = "greenhouse-logger-paste-top.gbr", "greenhouse-logger-outline.gbr"
MOST_BYTES = 60_000


def board(fixtures: Path) -> str:
    """The top of the demo board, as it was first drawn, within its outline."""
    return _drawn(fixtures / "boards/greenhouse-logger-a", PASTE, OUTLINE)


def mended_board(fixtures: Path) -> str:
    """The top of its next revision, in which nothing is found."""
    return _drawn(fixtures / "boards/greenhouse-logger-b", PASTE, OUTLINE)


def narrow_places(fixtures: Path) -> str:
    """How places are marked that are narrower than the rule set allows."""
    return _drawn(fixtures / "pictures", "narrow-places.gbr")


def _drawn(folder: Path, name: str, *beside: str) -> str:
    named = {Option.OUTLINE: [str(folder / one) for one in beside]}
    files = board_files.board_files_of(named)
    found = layers.layers_of([str(folder / name)])
    report, (seen,) = run.seen_and_checked(found, rulesets.load(KNIFE), board_files=files)
    assert seen.openings is not None
    return on_paper([picture_of(seen.openings, seen.board, report.layers[0])], name).text


@pytest.mark.parametrize("draw", [board, mended_board, narrow_places])
def test_pictures_of_readme_are_as_the_program_draws_them(
    draw: Callable[[Path], str], fixtures: Path, *, update_golden: bool
) -> None:
    place = fixtures / "pictures" / f"{draw.__name__.replace('_', '-')}.svg"
    drawn = draw(fixtures)
    if update_golden:
        place.write_text(drawn, encoding="utf-8", newline="\n")
    assert place.read_text(encoding="utf-8") == drawn, f"{place.name} is old: pytest --update-golden"
    assert len(drawn.encode()) < MOST_BYTES
