"""The command `films`: its arguments, its exit status, where it writes."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from pastecheck import rulesets
from pastecheck.films.jsondoc import schema
from tests.cli import layers
from tests.cli.conftest import Run

KNIFE = "polyester-75-knife"

# 0.25 x 0.40: area over perimeter is 76.9 um. In 75 um a ratio of 1.03, in 125 um 0.615: a warning; in
# 200 um 0.38: an error.
CHIP = layers.layer("%ADD20R,0.25X0.4*%", "D20*", "X0Y0D03*")


@pytest.fixture(autouse=True)
def paste(run: Run) -> None:
    """A layer, in the folder that commands run in."""
    Path("paste.gbr").write_bytes(CHIP)
    Path("thick.yaml").write_text(
        f"title: thick\nextends: {KNIFE}\nfoil:\n  thickness: 0.2 mm\n", encoding="utf-8"
    )
    Path("bare.yaml").write_text(
        "title: bare\nfoil: {name: film, material: any, thickness: 75 um}\n"
        "rules:\n  opening-width: {error-below: 0.1 mm, source: common practice}\n",
        encoding="utf-8",
    )


def document(run: Run, *argv: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(run("films", *argv, "--json", "-").out)
    jsonschema.validate(found, schema())
    return found


def test_without_rules_all_sets_that_ship_are_held_against(run: Run) -> None:
    found = document(run, "paste.gbr")
    names = [one["name"] for one in found["rule_sets"]]
    assert sorted(names) == sorted(rulesets.shipped())
    assert [one["name"] for one in found["layers"][0]["rule_sets"]] == names


def test_sets_that_are_named_are_told_in_their_order(run: Run) -> None:
    found = document(run, "paste.gbr", "--rules", "thick.yaml", "--rules", KNIFE)
    assert [one["name"] for one in found["rule_sets"]] == ["thick", KNIFE]


def test_people_are_told_which_film_would_do(run: Run) -> None:
    said = run("films", "paste.gbr", "--rules", KNIFE, "--rules", "thick.yaml")
    assert (said.status, said.err) == (0, "")
    assert f"drag knife  {KNIFE} would do" in said.out
    assert "63 to 128 um (with ease to 116 um)" in said.out
    assert "0.25 x 0.40 mm at (0.00, 0.00)" in said.out


@pytest.mark.parametrize(
    ("rules", "fail_on", "status"),
    [
        ((KNIFE,), "error", 0),
        ((KNIFE, "thick.yaml"), "error", 0),
        ((KNIFE, "thick.yaml"), "warning", 0),
        (("thick.yaml",), "error", 1),
        (("thick.yaml",), "warning", 1),
        (("thick.yaml",), "never", 0),
    ],
)
@pytest.mark.parametrize("how", [(), ("--quiet",), ("--json", "-"), ("--json", "f.json")])
def test_the_status_is_that_of_the_best_set(
    run: Run, rules: tuple[str, ...], fail_on: str, status: int, how: tuple[str, ...]
) -> None:
    named = [part for name in rules for part in ("--rules", name)]
    said = run("films", "paste.gbr", *named, "--fail-on", fail_on, *how)
    assert (said.status, said.err) == (status, "")


def test_with_warnings_only_the_status_goes_by_fail_on(run: Run) -> None:
    Path("careful.gbr").write_bytes(layers.CAREFUL)
    assert run("films", "careful.gbr", "--rules", KNIFE).status == 0
    assert run("films", "careful.gbr", "--rules", KNIFE, "--fail-on", "warning").status == 1


def test_every_layer_needs_a_film_of_its_own(run: Run) -> None:
    Path("bad.gbr").write_bytes(layers.BAD)
    said = run("films", "paste.gbr", "bad.gbr", "--rules", KNIFE)
    assert said.status == 1
    assert said.out.endswith("For all layers: no film of these would do for every layer\n")


def test_another_thickness_is_told_to_be_far_from_that_of_the_limits(run: Run) -> None:
    said = run("films", "paste.gbr", "--rules", KNIFE, "--thickness", "0.2 mm")
    assert said.status == 1
    told = " ".join(said.out.split())
    assert f"note: {KNIFE}: the limits were set for a foil of 75 um, not 200 um" in told
    near = run("films", "paste.gbr", "--rules", KNIFE, "--thickness", "80 um")
    assert "the limits were set for" not in near.out


# Five balls of type 3, of 45 um, take 0.225 mm: 0.2 over that is 0.89, a warning; of type 4 0.19 mm: none.
@pytest.mark.parametrize(("powder", "found"), [("3", True), ("4", False)])
def test_the_powder_at_hand_takes_the_place_of_the_rule_set_s(run: Run, powder: str, *, found: bool) -> None:
    Path("careful.gbr").write_bytes(layers.CAREFUL)
    told = document(run, "careful.gbr", "--rules", KNIFE, "--rules", "bare.yaml", "--powder", powder)
    (with_powder, without) = told["layers"][0]["rule_sets"]
    assert ("powder-fit" in [one["check"] for one in with_powder["hindrances"]]) == found
    assert not without["hindrances"]


def test_a_powder_that_no_set_judges_by_is_refused(run: Run) -> None:
    said = run("films", "paste.gbr", "--rules", "bare.yaml", "--powder", "4")
    assert said.status == 2
    assert "the rule set has no powder-fit" in said.err


def test_json_goes_to_a_file_and_the_answer_to_the_terminal(run: Run) -> None:
    said = run("films", "paste.gbr", "--rules", KNIFE, "--json", "f.json")
    assert "Which film" in said.out
    jsonschema.validate(json.loads(Path("f.json").read_text(encoding="utf-8")), schema())


@pytest.mark.parametrize("path", ["paste.gbr", "thick.yaml"])
def test_nothing_that_is_read_is_written_over(run: Run, path: str) -> None:
    before = Path(path).read_bytes()
    said = run("films", "paste.gbr", "--rules", "thick.yaml", "--json", path)
    assert said.status == 2
    assert "would be overwritten" in said.err
    assert Path(path).read_bytes() == before


def test_quiet_leaves_the_answer_only(run: Run) -> None:
    said = run("films", "paste.gbr", "--rules", KNIFE, "--quiet")
    assert said.out == f"paste.gbr\nWhich film\n  drag knife  {KNIFE} would do\n"


def test_an_empty_layer_is_not_judged(run: Run) -> None:
    Path("empty.gbr").write_bytes(layers.NOTHING)
    said = run("films", "empty.gbr")
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("empty.gbr: error[no-openings]: ")


def test_an_empty_side_of_a_board_is_told_beside_the_other_and_is_no_pass(run: Run) -> None:
    Path("board").mkdir()
    Path("board/top.gbr").write_bytes(CHIP)
    Path("board/bottom.gbr").write_bytes(layers.layer(function="Paste,Bot"))
    said = run("films", "board", "--rules", KNIFE, "--fail-on", "never")
    assert said.status == 2
    assert f"drag knife  {KNIFE} would do" in said.out
    assert "nothing to cut" in said.out
    assert said.err.startswith("board/bottom.gbr: error[no-openings]: the layer holds nothing to cut; ")
    written = run("films", "board", "--rules", KNIFE, "--json", "-")
    jsonschema.validate(json.loads(written.out), schema())


def test_a_layer_that_cannot_be_read_is_told_with_its_line(run: Run) -> None:
    Path("broken.gbr").write_bytes(layers.UNCLOSED_REGION)
    said = run("films", "broken.gbr")
    assert said.status == 2
    assert said.err.startswith("broken.gbr:")


def test_more_neighbours_than_are_read_are_refused_with_the_file(run: Run) -> None:
    flashes = [f"X{k * 700000}Y0D03*" for k in range(40)]
    Path("many.gbr").write_bytes(layers.layer("%ADD20R,0.6X0.6*%", "D20*", *flashes))
    said = run("films", "many.gbr", "--limit", "neighbours=5")
    assert said.status == 2
    assert said.err.startswith("many.gbr")


@pytest.mark.parametrize(
    ("argv", "told"),
    [
        ((), "no layer was named (usage: pastecheck films LAYER... [--rules SET]... [options])"),
        (("paste.gbr", "--rules", KNIFE, "--rules", KNIFE), f"--rules '{KNIFE}' is given twice (name each "),
        (("paste.gbr", "--rule", KNIFE), "there is no option '--rule' (did you mean '--rules'?)"),
        (("paste.gbr", "--thickness", "75"), "--thickness: expected a length"),
        (("paste.gbr", "--powder", "9"), "--powder: expected a powder type"),
        (("paste.gbr", "--fail-on", "x"), "argument --fail-on: invalid choice: 'x' "),
        (("paste.gbr", "--csv", "x"), "there is no option '--csv' (usage: pastecheck films"),
    ],
)
def test_wrong_arguments_are_told_in_one_line(run: Run, argv: tuple[str, ...], told: str) -> None:
    said = run("films", *argv)
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith(f"pastecheck: error[usage]: {told}")
    assert said.err.count("\n") == 1


def test_help_says_what_the_status_means(run: Run) -> None:
    said = run("films", "--help")
    assert said.status == 0
    assert said.out.startswith("usage: pastecheck films LAYER... [--rules SET]... [options]\n")
    assert "of each layer at least one rule set finds nothing" in " ".join(said.out.split())


def test_same_input_gives_the_same_bytes(run: Run) -> None:
    once, again = (run("films", "paste.gbr", "--json", "-").out for _ in range(2))
    assert once == again


def test_lands_are_read_beside_the_layer(run: Run) -> None:
    # 0.25 x 0.40 on 0.30 x 0.50 covers 2 / 3: half of 125 um over that is 93.75 um
    size = {"land": "0.3X0.5", "mask": "0.4X0.6"}
    for name, function in (("land", "Copper,L1,Top"), ("mask", "Soldermask,Top")):
        drawn = layers.layer(f"%ADD20R,{size[name]}*%", "D20*", "X0Y0D03*", function=function)
        Path(f"{name}.gbr").write_bytes(drawn)
    found = document(run, "paste.gbr", "--rules", KNIFE, "--land", "land.gbr", "--mask", "mask.gbr")
    (layer,) = found["layers"]
    assert [one["file"] for one in layer["beside"]] == ["land.gbr", "mask.gbr"]
    assert layer["thickness"][0]["thinnest"]["thickness_um"] == 94
