"""`pastecheck check` alone: what the project file says is done, and options count more than it."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.cli import layers
from tests.cli.conftest import Run, run

__all__ = ["run"]

BOTTOM = layers.layer("D10*", "X0Y0D03*", function="Paste,Bot")
COPPER = layers.layer("D10*", "X0Y0D03*", function="Copper,L2,Bot")
NOWHERE = layers.layer("D10*", "X90000000Y0D03*", function="Copper,L2,Bot")


@pytest.fixture
def files(run: Run) -> Run:
    """Files to name, some of them in a folder."""
    Path("fab").mkdir()
    for name, content in {
        "good.gbr": layers.GOOD,
        "careful.gbr": layers.CAREFUL,
        "bad.gbr": layers.BAD,
        "nothing.gbr": layers.NOTHING,
        "nameless.gbr": layers.NAMELESS,
        "copper.gbr": COPPER,
        "nowhere.gbr": NOWHERE,
        "fab/top.gbr": layers.GOOD,
        "fab/bottom.gbr": BOTTOM,
    }.items():
        Path(name).write_bytes(content)
    return run


def project(text: str, path: str = "pastecheck.yaml") -> None:
    rules = "" if text.startswith("rules") or "\nrules" in text else "rules: polyester-75-knife\n"
    Path(path).write_text(rules + text, encoding="utf-8")


def report(run: Run, *argv: str) -> dict[str, Any]:
    said = run("check", "--json", "-", *argv)
    assert not said.err
    made: dict[str, Any] = json.loads(said.out)
    return made


def files_of(made: dict[str, Any]) -> list[str]:
    return [layer["file"] for layer in made["layers"]]


def test_a_file_a_folder_and_more_are_judged_in_order(files: Run) -> None:
    project("layers: [good.gbr, fab]\n")
    assert files_of(report(files)) == ["good.gbr", "fab/bottom.gbr", "fab/top.gbr"]


def test_paths_are_taken_from_the_folder_of_the_file(files: Run) -> None:
    project("layers: [top.gbr, ../careful.gbr]\nreports: {json: out.json}\n", "fab/pastecheck.yaml")
    assert files("check", "--project", "fab/pastecheck.yaml", "--quiet").status == 0
    made = json.loads(Path("fab/out.json").read_text(encoding="utf-8"))
    assert files_of(made) == ["fab/top.gbr", "fab/../careful.gbr"]


def test_layers_that_are_named_without_a_project_leave_it_alone(files: Run) -> None:
    project("layers: [bad.gbr]\nfail-on: warning\nreports: {json: out.json}\n")
    assert files("check", "careful.gbr", "--rules", layers.RULES).status == 0
    assert not Path("out.json").exists()


def test_without_rules_the_project_is_offered(files: Run) -> None:
    project("layers: [bad.gbr]\n")
    said = files("check", "good.gbr")
    assert said.status == 2
    assert "; or add --project pastecheck.yaml for what that says)" in said.err


def test_layers_that_are_named_with_a_project_have_what_it_says_of_them(files: Run) -> None:
    project("layers:\n  - bad.gbr\n  - {file: fab/bottom.gbr, land: copper.gbr}\n")
    made = report(files, "--project", "pastecheck.yaml", "./fab/bottom.gbr")
    assert files_of(made) == ["fab/bottom.gbr"]
    assert [one["file"] for one in made["layers"][0]["beside"]] == ["copper.gbr"]


@pytest.mark.parametrize(
    ("argv", "status"), [((), 1), (("--fail-on", "error"), 0), (("--fail-on", "never"), 0)]
)
def test_an_option_counts_more_than_the_file(files: Run, argv: tuple[str, ...], status: int) -> None:
    project("layers: [careful.gbr]\nfail-on: warning\n")
    assert files("check", *argv).status == status


def test_another_rule_set_may_be_tried(files: Run) -> None:
    project("layers: [careful.gbr]\n")
    assert report(files, "--rules", "polyester-50-knife")["rule_set"]["name"] == "polyester-50-knife"


def test_thickness_and_powder_and_limits_stand_in_for_those_of_the_rule_set(files: Run) -> None:
    project(
        "layers: [careful.gbr]\nthickness: 100 um\npowder: 5\n"
        "limits:\n  opening-width: {error-below: 0.1 mm, source: trial cut}\n"
    )
    made = report(files)
    (rule,) = (one for one in made["layers"][0]["rules"] if one["check"] == "opening-width")
    assert (rule["limits"], rule["source"], rule["findings"]) == ({"error_below": 0.1}, "trial cut", [])
    assert made["rule_set"]["foil"]["thickness_mm"] == 0.1
    assert made["rule_set"]["notices"] == [
        "set by pastecheck.yaml, not by the rule set: opening-width",
        "the limits were set for a foil of 75 um, not 100 um: those of widths and webs may not suit",
    ]
    assert report(files, "--thickness", "80 um")["rule_set"]["foil"]["thickness_mm"] == 0.08


def test_the_hash_of_the_rule_set_tells_that_limits_are_others(files: Run) -> None:
    project("layers: [good.gbr]\n")
    own = report(files)["rule_set"]["sha256"]
    project("layers: [good.gbr]\nlimits: {opening-width: {error-below: 0.1 mm, source: trial cut}}\n")
    assert report(files)["rule_set"]["sha256"] != own


def test_limits_that_contradict_those_of_the_file_are_told_in_the_file(files: Run) -> None:
    project("layers: [good.gbr]\nlimits:\n  web-width: {error-below: 1 mm, warn-below: 0.5 mm, source: x}\n")
    said = files("check")
    assert said.err.startswith("pastecheck.yaml:4:46: error[impossible-limits]: a warning below 0.500 mm")


def test_a_rule_set_may_be_a_file_beside_it(files: Run) -> None:
    mine = (
        "title: mine\nextends: polyester-75-knife\nrules: {opening-width: {error-below: 9 mm, source: x}}\n"
    )
    Path("fab/mine.yaml").write_text(mine, encoding="utf-8")
    project("rules: mine.yaml\nlayers: [top.gbr]\n", "fab/pastecheck.yaml")
    made = report(files, "--project", "fab/pastecheck.yaml")
    assert (made["rule_set"]["file"], made["verdict"]) == ("fab/mine.yaml", "fail")


def test_a_powder_that_no_rule_judges_by_is_refused_in_the_file(files: Run) -> None:
    mine = (
        "title: mine\nfoil: {name: a, material: b, thickness: 75 um}\n"
        "rules: {area-ratio: {error-below: 0.6, source: x}}\n"
    )
    Path("mine.yaml").write_text(mine, encoding="utf-8")
    project("rules: mine.yaml\nlayers: [good.gbr]\npowder: 4\n")
    said = files("check")
    assert said.err.startswith("pastecheck.yaml:3:9: error[bad-value]: the rule set has no powder-fit")


# ------------------------------------------------------------------------------------------------ layers


def test_a_layer_that_may_be_empty_is_no_failure(files: Run) -> None:
    project("layers:\n  - good.gbr\n  - {file: nothing.gbr, may-be-empty: true}\n")
    said = files("check", "--fail-on", "warning", "--junit", "out.xml", "--sarif", "out.sarif")
    assert (said.status, said.err) == (0, "")
    assert "nothing to cut, as may be: nothing.gbr" in said.out
    assert "<error" not in Path("out.xml").read_text(encoding="utf-8")
    assert '"executionSuccessful": true' in Path("out.sarif").read_text(encoding="utf-8")


def test_one_that_may_not_be_empty_is_and_the_others_are_judged(files: Run) -> None:
    project("layers:\n  - good.gbr\n  - nothing.gbr\n")
    said = files("check")
    assert said.status == 2
    assert "cut it: good.gbr" in said.out
    assert said.err == (
        "nothing.gbr: error[no-openings]: the layer holds nothing to cut; the rest was judged "
        "(if it has no parts, say 'may-be-empty: true' of it in pastecheck.yaml)\n"
    )


def test_all_may_be_empty(files: Run) -> None:
    project("layers:\n  - {file: nothing.gbr, may-be-empty: true}\n")
    assert files("check").status == 0


def test_board_files_are_of_the_layer_with_which_they_are_named(files: Run) -> None:
    # neither layers nor copper tell their side, so that only the project tells what belongs together
    for name in ("a.gbr", "b.gbr"):
        Path(name).write_bytes(layers.NAMELESS)
        Path(f"copper-{name}").write_bytes(layers.layer("%LPD*%", "D10*", "X0Y0D03*", function=""))
    project("layers:\n  - {file: a.gbr, land: copper-b.gbr}\n  - {file: b.gbr, land: copper-a.gbr}\n")
    beside = [[one["file"] for one in layer["beside"]] for layer in report(files)["layers"]]
    assert beside == [["copper-b.gbr"], ["copper-a.gbr"]]


def test_of_a_folder_board_files_are_matched_by_side(files: Run) -> None:
    project("layers:\n  - {file: fab, land: copper.gbr}\n")
    beside = {layer["side"]: layer["beside"] for layer in report(files)["layers"]}
    assert (len(beside["bottom"]), beside["top"]) == (1, [])


def test_an_option_takes_the_place_of_all_board_files_of_its_kind(files: Run) -> None:
    project("layers:\n  - {file: fab/bottom.gbr, land: nowhere.gbr}\n")
    assert files("check").status == 2
    assert report(files, "--land", "copper.gbr")["layers"][0]["beside"][0]["file"] == "copper.gbr"


def test_a_side_may_be_told(files: Run) -> None:
    project("layers:\n  - {file: nameless.gbr, side: bottom}\n")
    assert report(files)["layers"][0]["side"] == "bottom"


def test_a_side_that_the_name_contradicts_is_noted(files: Run) -> None:
    Path("paste-top.gbr").write_bytes(layers.NAMELESS)
    project("layers:\n  - {file: paste-top.gbr, side: bottom}\n")
    (layer,) = report(files)["layers"]
    assert layer["side"] == "bottom"
    assert "side-as-told" in [one["code"] for one in layer["diagnostics"]]


@pytest.mark.parametrize(
    ("entry", "told"),
    [
        (
            "{file: good.gbr, side: bottom}",
            "the bottom side is told of good.gbr, which says that it is of the top",
        ),
        ("{file: fab, side: bottom}", "the bottom side is told of several layers, which were found here"),
    ],
)
def test_a_side_that_cannot_be_is_refused_where_it_is_told(files: Run, entry: str, told: str) -> None:
    project(f"layers:\n  - {entry}\n")
    said = files("check")
    assert said.status == 2
    assert said.err.startswith(f"pastecheck.yaml:3:12: error[other-side]: {told} (")


def test_a_layer_may_be_called_paste(files: Run) -> None:
    project("layers: [copper.gbr]\n")
    assert "not-paste" in files("check").err
    project("layers: [{file: copper.gbr, as-paste: true}]\n")
    assert files("check").status == 0


def test_layers_in_an_archive_can_be_named(files: Run) -> None:
    from zipfile import ZipFile

    with ZipFile("fab.zip", "w") as archive:
        archive.writestr("top.gbr", layers.GOOD)
    project("layers: [fab.zip/top.gbr]\n")
    assert files_of(report(files)) == ["fab.zip/top.gbr"]


# ------------------------------------------------------------------------------------------------ reports


def test_reports_are_written_where_the_file_says_and_options_say_otherwise(files: Run) -> None:
    project("layers: [good.gbr]\nreports: {json: out.json, csv: fab/out.csv}\n")
    assert files("check").out.startswith("cut it: ")
    assert Path("out.json").is_file()
    assert Path("fab/out.csv").is_file()
    Path("out.json").unlink()
    files("check", "--json", "other.json")
    assert Path("other.json").is_file()
    assert not Path("out.json").exists()


def test_an_option_cannot_overwrite_the_project_either(files: Run) -> None:
    project("layers: [good.gbr]\n")
    said = files("check", "--csv", "pastecheck.yaml")
    assert said.err.startswith(
        "pastecheck: error[usage]: 'pastecheck.yaml' is read, and would be overwritten ("
    )


def test_what_is_found_in_a_folder_or_lies_in_an_archive_is_not_overwritten(files: Run) -> None:
    from zipfile import ZipFile

    with ZipFile("fab.zip", "w") as archive:
        archive.writestr("bottom.gbr", BOTTOM)
    before = Path("fab.zip").read_bytes()
    project("layers: [fab, fab.zip/bottom.gbr]\nreports: {json: fab/top.gbr}\n")
    assert files("check").err.startswith("pastecheck: error[usage]: 'fab/top.gbr' is read, and would be over")
    project("layers: [fab.zip/bottom.gbr]\nreports: {json: fab.zip}\n")
    said = files("check")
    assert said.err.startswith(
        "pastecheck.yaml:3:17: error[bad-value]: 'fab.zip' is read, and would be overw"
    )
    said = files("check", "fab.zip/bottom.gbr", "--rules", layers.RULES, "--json", "fab.zip")
    assert said.err.startswith("pastecheck: error[usage]: 'fab.zip' is read, and would be overwritten")
    assert Path("fab.zip").read_bytes() == before


def test_nothing_is_written_where_judging_fails(files: Run) -> None:
    project("layers: [good.gbr, copper.gbr]\nreports: {json: out.json}\n")
    assert files("check").status == 2
    assert not Path("out.json").exists()


@pytest.mark.parametrize("day", ["yesterday", "2027-02-30", ""])
def test_a_day_that_is_none_is_refused(files: Run, day: str) -> None:
    said = files("check", "good.gbr", "--rules", layers.RULES, "--today", day)
    assert said.status == 2
    assert said.err.startswith("pastecheck: error[usage]: --today ")


def test_without_layers_and_without_a_project_both_are_offered(run: Run) -> None:
    said = run("check")
    assert said.err.startswith(
        "pastecheck: error[usage]: no layer was named (usage: pastecheck check LAYER..."
    )
    assert "pastecheck start" in said.err
