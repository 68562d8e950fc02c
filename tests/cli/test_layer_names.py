"""Names begin with a board and end with a layer: what one says is not taken for what the other is."""

from pathlib import Path

import pytest

from pastecheck import layers as subject
from pastecheck.layer_names import hint_of
from tests.cli import layers
from tests.cli.conftest import Run


@pytest.mark.parametrize(
    ("name", "kind", "side"),
    [
        ("paste-pump-F_Cu.gbr", "copper", "top"),
        ("paste-pump-B_Mask.gbr", "solder mask", "bottom"),
        ("paste-pump-F_Paste.gbr", "paste", "top"),
        ("stencil-jig-outline.gbr", "outline", "unknown"),
        ("copper-counter-paste-bottom.gbr", "paste", "bottom"),
        ("paste-mask-top.gbr", "paste", "top"),
        ("toppastemask.gbr", "paste", "top"),
        ("SMDPasteBot.gbr", "paste", "bottom"),
        ("board-CuTop.gbr", "copper", "top"),
        ("board-Edge_Cuts.gbr", "outline", "unknown"),
        ("board.StopTop", "solder mask", "top"),
        ("board.PasteTop", "paste", "top"),
        ("boardoutlinelayer.gbr", "outline", "unknown"),
        ("silkscreentop.gbr", "legend", "top"),
        ("board-F_Fab.gbr", "drawing", "top"),
        ("board-NPTH.gbr", "drill", "unknown"),
        ("board-PTH-drl_map.gbr", "drill", "unknown"),
        ("board.gpt", "pad master", "top"),
        ("board.GPB", "pad master", "bottom"),
        ("resist_top.gbr", "solder mask", "top"),
        ("Loetstoppmaske_oben.gbr", "solder mask", "top"),
        ("L\u00f6tstopplack.gbr", "solder mask", "unknown"),
        ("board_Lo\u0308tpaste_unten.gbr", "paste", "bottom"),  # as some systems write an accent
        ("Pastenmaske-oben.gbr", "paste", "top"),
        ("bottom-heater-F_Paste.gbr", "paste", "top"),  # the side is told at the end as well
        ("bottom-heater-paste.gbr", "paste", "bottom"),
    ],
)
def test_the_last_word_that_tells_a_layer_counts(name: str, kind: str, side: str) -> None:
    assert hint_of(name)[:2] == (kind, side)


@pytest.mark.parametrize("word", ["toothpaste", "screamer", "drillpress", "cucumber", "copperhead", "cuts"])
def test_a_word_with_anything_else_joined_to_it_says_nothing(word: str) -> None:
    assert not hint_of(f"{word}.gbr").kind


def test_the_copper_of_a_board_named_for_paste_is_not_judged_as_paste(run: Run) -> None:
    Path("board").mkdir()
    for name in ("paste-pump-F_Cu.gbr", "toothpaste-top.gbr", "paste-pump-F_Paste.gbr"):
        Path("board", name).write_bytes(layers.NAMELESS)
    assert [layer.path for layer in subject.layers_of(["board"])] == ["board/paste-pump-F_Paste.gbr"]
    said = run("check", "board/paste-pump-F_Cu.gbr", "--rules", layers.RULES)
    assert said.status == 2
    assert said.err.startswith(
        "board/paste-pump-F_Cu.gbr: error[not-paste]: the word 'cu' in its name says copper"
    )


def test_a_name_longer_than_any_file_system_takes_is_known_by_its_end() -> None:
    assert hint_of("mask" * 20_000 + "-paste-top.gbr")[:2] == ("paste", "top")


@pytest.mark.parametrize("name", ["make_paste_layer.py", "paste-notes.md"])
def test_what_speaks_of_a_layer_is_none(run: Run, name: str) -> None:
    Path("board").mkdir()
    text = 'lines = ["%TF.FileFunction,Paste,Top*%", "%FSLAX46Y46*%"]\n'
    Path("board", name).write_text(text, encoding="utf-8")
    said = run("check", "board", "--rules", layers.RULES)
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("board: error[no-paste-layer]: no paste layer was found here (found ")


def test_a_layer_with_an_unknown_extension_is_known_by_how_it_begins(run: Run) -> None:
    Path("board").mkdir()
    Path("board/board.PasteTop").write_bytes(layers.NAMELESS)
    Path("board/board.top").write_bytes(layers.GOOD)
    found = subject.layers_of(["board"])
    assert [(layer.path, layer.side) for layer in found] == [
        ("board/board.PasteTop", "top"),
        ("board/board.top", "top"),
    ]
