from pathlib import Path

import pytest

from pastecheck.cli import main
from tests.cli import layers
from tests.cli.conftest import Run


@pytest.mark.parametrize(
    ("layer", "fail_on", "status"),
    [
        (layers.GOOD, "error", 0),
        (layers.GOOD, "warning", 0),
        (layers.GOOD, "never", 0),
        (layers.CAREFUL, "error", 0),
        (layers.CAREFUL, "warning", 1),
        (layers.CAREFUL, "never", 0),
        (layers.BAD, "error", 1),
        (layers.BAD, "warning", 1),
        (layers.BAD, "never", 0),
    ],
)
@pytest.mark.parametrize("how", [(), ("--quiet",), ("--json", "-"), ("--csv", "c.csv", "--json", "j.json")])
def test_the_status_follows_verdict_and_fail_on_whatever_is_written(
    run: Run, layer: bytes, fail_on: str, status: int, how: tuple[str, ...]
) -> None:
    Path("paste.gbr").write_bytes(layer)
    said = run("check", "paste.gbr", "--rules", layers.RULES, "--fail-on", fail_on, *how)
    assert said.status == status
    assert not said.err


def test_the_worst_of_several_layers_decides(run: Run) -> None:
    Path("good.gbr").write_bytes(layers.GOOD)
    Path("bad.gbr").write_bytes(layers.BAD)
    assert run("check", "good.gbr", "--rules", layers.RULES, "bad.gbr").status == 1


def test_a_layer_with_nothing_to_cut_is_no_pass(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.NOTHING)
    said = run("check", "paste.gbr", "--rules", layers.RULES, "--fail-on", "never")
    assert said.status == 2
    assert not said.out
    assert said.err.startswith("paste.gbr: error[no-openings]: ")


def test_a_thicker_film_makes_a_good_layer_bad(run: Run) -> None:
    # 0.6 / 0.5 = 1.2 is below the aspect ratio of 1.3
    Path("paste.gbr").write_bytes(layers.GOOD)
    said = run("check", "paste.gbr", "--rules", layers.RULES, "--thickness", "0.5 mm")
    assert said.status == 1
    assert "the limits were set for a foil of 75 um, not 500 um" in " ".join(said.out.split())


def test_a_defect_is_shown_whole_and_never_looks_like_a_finding(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main([None]) == 2  # type: ignore[list-item]
    assert capsys.readouterr().err.startswith("Traceback")


def test_an_empty_layer_among_others_is_told_with_a_way_on(run: Run) -> None:
    Path("board").mkdir()
    Path("board/board.gtp").write_bytes(layers.GOOD)
    Path("board/board.gbp").write_bytes(layers.NOTHING)
    said = run("check", "board", "--rules", layers.RULES)
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("board/board.gbp: error[no-openings]: ")
    assert said.err.endswith("; or name only the layers that hold something: board/board.gtp)\n")
