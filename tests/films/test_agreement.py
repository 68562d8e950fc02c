"""What `films` says of each rule set is what `check` says with it: on the demo boards, and on real layers."""

import os
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pastecheck import rulesets, run
from pastecheck.board_files import BoardFile, Option, board_files_of
from pastecheck.errors import NoOpeningsError
from pastecheck.films import LayerFilms
from pastecheck.films.thickness import RELEASE
from pastecheck.layers import Layer, layers_of
from pastecheck.limits import STANDARD
from pastecheck.report import LayerReport, Level
from pastecheck.rulesets import RuleSet

BOARDS = Path(__file__).resolve().parents[2] / "fixtures" / "boards"
SHARED = os.environ.get("PASTECHECK_SHARED", "")

FEW = (
    "cad01-bbai/PAST_TOP.art",
    "cad05-particle-core/core.GBP",
    "cad06-openxenium/solderpaste_top.gbr",
    "cad08-simplefoc/Gerber_TopPasteMaskLayer.GTP",
    "cad10-openbci-daisy/OBCI_V3_D - Top Paste Mask.gbr",
    "cad13-fomu-dvt1a/tomu-fpga-B.Paste.gbp",
    "cad13-orangecrab-r02/OrangeCrab-PasteTop.gbr",
)
"""Files in inches and in millimetres, flashed, drawn and filled; from many exporters."""


def real_layers(names: Sequence[str] | None = None) -> list[str]:
    if not SHARED:
        return []
    table = Path(SHARED, "corpus", "MANIFEST.csv").read_text(encoding="utf-8").splitlines()
    every = [line.split(",")[:2] for line in table[1:] if ",paste" in line]
    known = ["/".join(one) for one in every if Path(SHARED, "corpus", *one).is_file()]
    return known if names is None else [name for name in names if name in known]


def shipped() -> list[RuleSet]:
    return [rulesets.load(name) for name in rulesets.shipped()]


def findings(layer: LayerReport) -> Mapping[tuple[str, Level], int]:
    return Counter((one.check, one.level) for outcome in layer.outcomes for one in outcome.findings)


def agree(layer: LayerFilms, checked: Sequence[LayerReport]) -> None:
    """What each rule set finds of a layer is what `check` finds with it."""
    for held, report in zip(layer.held, checked, strict=True):
        found = findings(report)
        assert {(one.check, one.level): one.count for one in held.hindrances} == found
        warnings = sum(count for (_, level), count in found.items() if level is Level.WARNING)
        assert held.errors == sum(count for (_, level), count in found.items() if level is Level.ERROR)
        assert held.warnings == warnings + report.file_warnings
        assert held.verdict == report.verdict
        assert held.worst_area_ratio == pytest.approx(report.table.area_ratio.min(), rel=1e-12)
        worst = {(one.check, one.level): one for outcome in report.outcomes for one in outcome.findings[::-1]}
        for one in held.hindrances:
            first = worst[one.check, one.level]
            assert (one.value, one.limit) == (first.value, first.limit)
            assert (one.opening.row if one.opening else None) == first.opening
    assert layer.diagnostics == checked[0].diagnostics


def held_both_ways(
    layers: Sequence[Layer], files: Sequence[BoardFile] = (), rule_sets: Sequence[RuleSet] = ()
) -> None:
    rule_sets = rule_sets or shipped()
    films = run.films_for(layers, rule_sets, board_files=files)
    reports = [run.checked(layers, rule_set, board_files=files).layers for rule_set in rule_sets]
    for layer, checked in zip(films.layers, zip(*reports, strict=True), strict=True):
        agree(layer, checked)


def top_side(board: str) -> tuple[Sequence[Layer], Sequence[BoardFile]]:
    """The paste layer of a demo board, with copper and mask."""
    side = sorted((BOARDS / board).glob("*-top.gbr"))
    paste, copper, mask = (
        [str(path) for path in side if word in path.name] for word in ("paste", "copper", "mask")
    )
    return layers_of(paste), board_files_of({Option.LAND: copper, Option.MASK: mask}, STANDARD)


@pytest.mark.parametrize("board", ["greenhouse-logger-a", "greenhouse-logger-b"])
def test_the_first_and_the_last_rule_set_say_of_a_board_what_check_says(board: str) -> None:
    held_both_ways(*top_side(board), [shipped()[0], shipped()[-1]])


@pytest.mark.slow
@pytest.mark.parametrize("board", ["greenhouse-logger-a", "greenhouse-logger-b"])
@pytest.mark.parametrize("with_lands", [False, True], ids=["alone", "with lands"])
def test_all_rule_sets_say_of_a_board_what_check_says(board: str, *, with_lands: bool) -> None:
    layers, files = top_side(board)
    held_both_ways(layers, files if with_lands else ())


def test_lands_that_lie_off_are_judged_as_if_they_lay_right(tmp_path: Path) -> None:
    # all openings are 0.3 mm off: past the error limit of registration, and told once
    flashes = "\n".join(f"X{k}000000Y0D03*" for k in range(12))
    head = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10R,0.5X0.65*%\nD10*\n"
    for name, function, shift in (
        ("paste", "Paste,Top", ""),
        ("copper", "Copper,L1,Top", "300000"),
        ("mask", "Soldermask,Top", "300000"),
    ):
        drawn = flashes.replace("000000Y", f"{shift or '000000'}Y")
        said = f"%TF.FileFunction,{function}*%\n"
        (tmp_path / f"{name}.gbr").write_text(f"{said}{head}{drawn}\nM02*\n", encoding="utf-8")
    named = {Option.LAND: [str(tmp_path / "copper.gbr")], Option.MASK: [str(tmp_path / "mask.gbr")]}
    held_both_ways(layers_of([str(tmp_path / "paste.gbr")]), board_files_of(named, STANDARD))


@pytest.mark.slow
@pytest.mark.parametrize("name", real_layers(FEW))
def test_all_rule_sets_say_of_a_real_layer_what_check_says(name: str) -> None:
    held_both_ways(layers_of([str(Path(SHARED, "corpus", name))]))


@pytest.mark.slow
@pytest.mark.parametrize("name", real_layers())
def test_a_real_layer_releases_at_the_thickest_foil_and_not_above(name: str) -> None:
    layers = layers_of([str(Path(SHARED, "corpus", name))], as_paste=True)
    rule_set = rulesets.load("polyester-75-knife")
    try:
        (layer,) = run.films_for(layers, [rule_set]).layers
    except NoOpeningsError:
        return
    (thickness,) = layer.thickness
    assert thickness.thickest is not None
    assert thickness.thickest.thickness_um is not None

    def errors(um: int) -> int:
        other = rule_set.with_thickness(um / 1000)
        (held,) = run.films_for(layers, [other]).layers[0].held
        return sum(one.count for one in held.hindrances if one.check in RELEASE and one.level is Level.ERROR)

    most_um = thickness.thickest.thickness_um
    assert errors(most_um) == 0
    # flattened outlines count to the safe side: relative 0.1 um x (P / A + turning / P), far below 2 %
    assert errors(most_um + 1) > 0 or errors(int(np.ceil(most_um * 1.02)) + 1) > 0


def test_the_order_of_rule_sets_changes_nothing_that_they_say() -> None:
    (layer,) = layers_of([str(BOARDS / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr")])
    rule_sets = shipped()
    forth, back = (run.films_for([layer], each).layers[0].held for each in (rule_sets, rule_sets[::-1]))
    assert forth == back[::-1]


def test_the_foil_of_a_rule_set_does_not_leak_into_the_next() -> None:
    (layer,) = layers_of([str(BOARDS / "greenhouse-logger-b" / "greenhouse-logger-paste-top.gbr")])
    knife = rulesets.load("polyester-75-knife")
    twice = replace(knife.with_thickness(0.15), name="twice as thick")
    thin, thick, again = run.films_for([layer], [knife, twice, knife]).layers[0].held
    assert thin == again
    assert thick.worst_area_ratio == pytest.approx(thin.worst_area_ratio / 2, rel=1e-12)
