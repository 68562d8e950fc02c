import json
import zipfile
from pathlib import Path

import jsonschema
import pytest

from pastecheck.cli import main
from pastecheck.reporters.jsondoc import schema
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
@pytest.mark.parametrize(
    "how",
    [
        (),
        ("--quiet",),
        ("--json", "-"),
        ("--csv", "c.csv", "--json", "j.json"),
        ("--sarif", "-", "--junit", "j.xml"),
    ],
)
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


def _board(**sides: bytes) -> None:
    Path("board").mkdir()
    for name, content in sides.items():
        Path(f"board/{name}.gbr").write_bytes(content)
    with zipfile.ZipFile("board.zip", "w") as archive:
        for name, content in sides.items():
            archive.writestr(f"{name}.gbr", content)


EMPTY_BOTTOM = layers.layer(function="Paste,Bot")


@pytest.mark.parametrize("where", ["board", "board.zip"])
def test_a_side_of_a_board_without_parts_is_reported_beside_the_other(run: Run, where: str) -> None:
    _board(bottom=EMPTY_BOTTOM, top=layers.GOOD)
    said = run("check", where, "--rules", layers.RULES, "--quiet")
    assert said.status == 2
    assert said.out == f"nothing to cut (1 warning): {where}/bottom.gbr\ncut it: {where}/top.gbr\n"
    assert said.err == (
        f"{where}/bottom.gbr: error[no-openings]: the layer holds nothing to cut; the rest was judged "
        f"(if it has no parts, name only what has: {where}/top.gbr)\n"
    )
    assert run("check", f"{where}/top.gbr", "--rules", layers.RULES).status == 0


def test_a_side_without_parts_is_no_pass_in_json_and_has_no_rows_in_csv(run: Run) -> None:
    _board(bottom=EMPTY_BOTTOM, top=layers.GOOD)
    document = json.loads(run("check", "board", "--rules", layers.RULES, "--json", "-").out)
    jsonschema.validate(document, schema())
    bottom, top = document["layers"]
    assert [document["verdict"], bottom["verdict"], top["verdict"]] == ["care", "care", "pass"]
    assert (bottom["openings"], bottom["open_area_mm2"], bottom["side"]) == (0, 0.0, "bottom")
    assert [rule["check"] for rule in bottom["rules"]] == [rule["check"] for rule in top["rules"]]
    assert {rule["measured"] for rule in bottom["rules"]} == {0}
    (said,) = bottom["diagnostics"]
    assert (said["code"], said["level"]) == ("no-openings", "warning")
    table = run("check", "board", "--rules", layers.RULES, "--csv", "-").out.splitlines()
    assert [line.rsplit(",", 1)[1] for line in table] == ["layer", "board/top.gbr"]


def test_what_is_said_of_a_folder_or_an_empty_side_is_kept(run: Run) -> None:
    _board(bottom=layers.layer(function="Paste,Bot", end=""), top=layers.GOOD, any=layers.NAMELESS)
    bottom, _ = json.loads(run("check", "board", "--rules", layers.RULES, "--json", "-").out)["layers"]
    assert {said["code"] for said in bottom["diagnostics"]} == {"no-openings", "no-end", "untold-layer"}


@pytest.mark.parametrize("where", ["board", "board.zip"])
def test_a_board_with_nothing_to_cut_on_any_side_is_refused(run: Run, where: str) -> None:
    _board(bottom=EMPTY_BOTTOM, top=layers.NOTHING)
    Path("good.gbr").write_bytes(layers.GOOD)
    said = run("check", where, "good.gbr", "--rules", layers.RULES)
    assert (said.status, said.out) == (2, "")
    assert said.err == (
        f"{where}: error[no-openings]: of the paste layers that were found here none holds anything to cut "
        f"(name one by itself to be told why, such as {where}/bottom.gbr)\n"
    )


@pytest.mark.parametrize("where", ["board", "board.zip"])
def test_the_only_paste_layer_of_a_folder_has_to_hold_something(run: Run, where: str) -> None:
    _board(top=layers.NOTHING)
    said = run("check", where, "--rules", layers.RULES)
    assert said.status == 2
    assert said.err.startswith(f"{where}/top.gbr: error[no-openings]: the layer holds nothing to cut ")


def test_an_empty_layer_that_was_named_stops_all_with_a_way_on(run: Run) -> None:
    _board(a=layers.NOTHING, b=EMPTY_BOTTOM, c=layers.GOOD)
    names = [f"board/{name}.gbr" for name in "cab"]
    said = run("check", *names, "--rules", layers.RULES)
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("board/a.gbr: error[no-openings]: ")
    assert said.err.endswith("; or leave it out)\n")


def test_a_damaged_side_of_a_board_stops_all(run: Run) -> None:
    _board(bottom=layers.TRUNCATED, top=layers.GOOD)
    said = run("check", "board", "--rules", layers.RULES)
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("board/bottom.gbr:")


@pytest.mark.parametrize(("powder", "value"), [("3", 0.889), ("T5", 1.6), ("type 6", 2.667)])
def test_the_powder_at_hand_takes_the_place_of_the_rule_set_s(run: Run, powder: str, value: float) -> None:
    # 0.20 mm over 5 balls of 45, 25 and 15 um
    Path("paste.gbr").write_bytes(layers.layer("%ADD20R,0.2X1*%", "D20*", "X0Y0D03*"))
    table = run("check", "paste.gbr", "--rules", layers.RULES, "--powder", powder, "--csv", "-").out
    header, row = (line.split(",") for line in table.splitlines())
    assert float(row[header.index("powder_fit")]) == pytest.approx(value, abs=5e-4)


def test_a_rule_set_without_powder_takes_none(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    foil, rule = "foil: {name: f, material: m, thickness: 75 um}", "area-ratio: {warn-below: 0.66, source: t}"
    Path("bare.yaml").write_text(f"title: t\n{foil}\nrules: {{{rule}}}\n", encoding="utf-8")
    said = run("check", "paste.gbr", "--rules", "bare.yaml", "--powder", "4")
    assert (said.status, said.out) == (2, "")
    assert "the rule set has no powder-fit" in said.err
