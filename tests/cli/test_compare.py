"""`compare OLD NEW`: what is said, and with what status."""

import json
import zipfile
from pathlib import Path

import jsonschema
import pytest

from pastecheck.revisions.jsondoc import schema
from tests.cli import layers
from tests.cli.conftest import Run

RULES = ("--rules", layers.RULES)
BOARD = ("D10*", "X5000000Y0D03*", "X7000000Y3000000D03*", "X9000000Y9000000D03*")
MOVED = ("D10*", "X17700000Y0D03*", "X19700000Y3000000D03*", "X21700000Y9000000D03*")
CAREFUL, BAD = ("D11*", "X0Y0D03*"), ("D12*", "X0Y0D03*")


def write(old: bytes, new: bytes) -> None:
    Path("old.gbr").write_bytes(old)
    Path("new.gbr").write_bytes(new)


@pytest.mark.parametrize(
    ("old", "new", "fail_on", "status"),
    [
        (BOARD, BOARD, "warning", 0),
        ((*BOARD, *BAD), (*BOARD, *BAD), "warning", 0),
        ((*BOARD, *BAD), BOARD, "warning", 0),
        (BOARD, (*BOARD, *CAREFUL), "error", 0),
        (BOARD, (*BOARD, *CAREFUL), "warning", 1),
        (BOARD, (*BOARD, *BAD), "error", 1),
        (BOARD, (*BOARD, *BAD), "never", 0),
        ((*BOARD, *CAREFUL), (*BOARD, *BAD), "error", 1),
    ],
)
def test_the_status_follows_what_is_new(
    run: Run, old: tuple[str, ...], new: tuple[str, ...], fail_on: str, status: int
) -> None:
    write(layers.layer(*old), layers.layer(*new))
    for how in ((), ("--quiet",), ("--json", "-")):
        said = run("compare", "old.gbr", "new.gbr", *RULES, "--fail-on", fail_on, *how)
        assert (said.status, said.err) == (status, "")


def test_the_terminal_tells_the_change_in_a_line(run: Run) -> None:
    wide = [text.replace("D10", "D13") for text in BOARD]
    write(
        layers.layer("%TO.C,U3*%", *BOARD, "%TD*%"),
        layers.layer("%ADD13R,0.55X1.2*%", "%TO.C,U3*%", *wide[:3], "D10*", wide[3], "%TD*%"),
    )
    said = run("compare", "old.gbr", "new.gbr", *RULES)
    assert said.out.startswith("new: nothing: new.gbr\n")
    assert "openings: 1 unchanged, 2 resized\n" in said.out
    assert "U3: 2 of 3 openings narrower by 0.05 mm, 0.60 x 1.20 mm -> 0.55 x 1.20 mm\n" in said.out


def test_a_moved_origin_is_told(run: Run) -> None:
    write(layers.layer(*BOARD), layers.layer(*MOVED))
    told = " ".join(run("compare", "old.gbr", "new.gbr", *RULES).out.split())
    assert "the origin has moved by (12.70, 0.00) mm" in told
    assert "openings: 3 unchanged" in told


def test_json_is_as_its_schema_says_and_the_same_each_time(run: Run) -> None:
    write(layers.layer(*BOARD, *CAREFUL), layers.layer(*MOVED[:3], *BAD))
    said = run("compare", "old.gbr", "new.gbr", *RULES, "--json", "-", "--json", "out.json")
    document = json.loads(said.out)
    jsonschema.Draft202012Validator.check_schema(schema())
    jsonschema.Draft202012Validator(schema()).validate(document)
    assert Path("out.json").read_text(encoding="utf-8") == said.out
    assert run("compare", "old.gbr", "new.gbr", *RULES, "--json", "-") == said
    assert (document["format"], document["format_version"]) == ("pastecheck comparison", 1)


def test_json_counts_what_it_lists(run: Run) -> None:
    write(layers.layer(*BOARD, *CAREFUL), layers.layer(*BOARD[:3], "D10*", "X30000000Y0D03*", *BAD))
    (layer,) = json.loads(run("compare", "old.gbr", "new.gbr", *RULES, "--json", "-").out)["layers"]
    kinds = [change["kind"] for change in layer["changes"]]
    assert {kind: kinds.count(kind) for kind in layer["openings"] if kind != "unchanged"} == {
        kind: count for kind, count in layer["openings"].items() if kind != "unchanged"
    }
    assert sum(group["count"] for group in layer["groups"]) == len(layer["changes"])
    assert layer["findings"]["new"] == len(layer["new_findings"])
    assert layer["findings"]["gone"] == len(layer["gone_findings"])
    assert layer["openings"]["unchanged"] + sum(one["new"] is not None for one in layer["changes"]) == 4


def test_folders_and_archives_are_matched_by_side(run: Run) -> None:
    Path("old").mkdir()
    Path("old/first.gbr").write_bytes(layers.layer(*BOARD, function="Paste,Bot"))
    Path("old/second.gbr").write_bytes(layers.layer(*BOARD, *BAD))
    with zipfile.ZipFile("new.zip", "w") as archive:
        archive.writestr("a.gbr", layers.layer(*BOARD, *BAD))
        archive.writestr("b.gbr", layers.layer(*MOVED, function="Paste,Bot"))
    said = run("compare", "old", "new.zip", *RULES, "--json", "-")
    top, bottom = json.loads(said.out)["layers"]
    assert said.status == 0
    assert (top["old"]["file"], top["new"]["file"]) == ("old/second.gbr", "new.zip/a.gbr")
    assert (bottom["old"]["file"], bottom["new"]["file"]) == ("old/first.gbr", "new.zip/b.gbr")
    assert [layer["openings"]["unchanged"] for layer in (top, bottom)] == [4, 3]


def test_a_side_without_parts_in_both_revisions_is_unchanged(run: Run) -> None:
    for name in ("old", "new"):
        Path(name).mkdir()
        Path(f"{name}/top.gbr").write_bytes(layers.layer(*BOARD))
        Path(f"{name}/bottom.gbr").write_bytes(layers.layer(function="Paste,Bot"))
    said = run("compare", "old", "new", *RULES, "--fail-on", "warning")
    assert (said.status, said.err) == (0, "")


def test_a_side_that_has_lost_everything_is_no_pass(run: Run) -> None:
    for name, drawn in (("old", BOARD), ("new", ())):
        Path(name).mkdir()
        Path(f"{name}/top.gbr").write_bytes(layers.layer(*BOARD))
        Path(f"{name}/bottom.gbr").write_bytes(layers.layer(*drawn, function="Paste,Bot"))
    said = run("compare", "old", "new", *RULES)
    assert said.status == 2
    assert said.err.startswith("new/bottom.gbr: error[no-openings]: the layer holds nothing to cut any more")
    assert "3 removed" in said.out


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("old.gbr",), "two revisions have to be named, the old one first"),
        (("old.gbr", "new.gbr", "old.gbr"), "two revisions have to be named, the old one first"),
        ((), "two revisions have to be named, the old one first"),
        (("old.gbr", "no.gbr", *RULES), "no.gbr: error[no-file]: "),
        (("old.gbr", "new.gbr"), "no rule set was named (add --rules with one of "),
        (("old.gbr", "new.gbr", *RULES, "--csv", "-"), "there is no option '--csv'"),
        (("old.gbr", "new.gbr", *RULES, "--json", "old.gbr"), "is read, and would be overwritten"),
    ],
)
def test_what_cannot_be_compared_is_refused(run: Run, arguments: tuple[str, ...], told: str) -> None:
    write(layers.layer(*BOARD), layers.layer(*BOARD))
    said = run("compare", *arguments)
    assert (said.status, said.out) == (2, "")
    assert told in said.err
    assert said.err.count("\n") == 1


def test_a_side_that_has_got_its_first_parts_is_all_new(run: Run) -> None:
    for name, drawn in (("old", ()), ("new", BAD)):
        Path(name).mkdir()
        Path(f"{name}/top.gbr").write_bytes(layers.layer(*BOARD))
        Path(f"{name}/bottom.gbr").write_bytes(layers.layer(*drawn, function="Paste,Bot"))
    said = run("compare", "old", "new", *RULES)
    assert (said.status, said.err) == (1, "")
    assert "openings: 0 unchanged, 1 added" in said.out


def test_a_warning_about_the_new_file_is_told_once_it_is_new(run: Run) -> None:
    sliver = ("%ADD13R,0.01X1*%", "D13*", "X3000000Y5000000D03*")
    write(layers.layer(*BOARD), layers.layer(*BOARD, *sliver))
    said = run("compare", "old.gbr", "new.gbr", *RULES, "--fail-on", "warning")
    assert said.status == 1
    assert said.out.startswith("new: 1 warning about the file: new.gbr\n")
    assert "[sliver]" in said.out
    (layer,) = json.loads(run("compare", "old.gbr", "new.gbr", *RULES, "--json", "-").out)["layers"]
    assert [one["code"] for one in layer["new_warnings"]] == ["sliver"]
    back = run("compare", "new.gbr", "new.gbr", *RULES, "--fail-on", "warning")
    assert back.status == 0
    assert "[sliver]" not in back.out


def test_opposite_sides_are_refused(run: Run) -> None:
    write(layers.layer(*BOARD), layers.layer(*BOARD, function="Paste,Bot"))
    said = run("compare", "old.gbr", "new.gbr", *RULES)
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("pastecheck: error[usage]: the two have no layer in common")


def test_help_is_given(run: Run) -> None:
    said = run("compare", "--help")
    assert said.status == 0
    assert "pastecheck compare rev-a rev-b" in " ".join(said.out.split())
    assert "pastecheck compare OLD NEW" in run("--help").out


def test_a_name_in_a_file_cannot_write_to_the_terminal(run: Run) -> None:
    evil = layers.layer("%TO.C,U\x1b[31m*%", *BAD)
    write(
        layers.layer(*BOARD),
        evil.replace(b"D12*", b"D12*\nX0Y0D03*\nD10*\nX5000000Y0D03*\nX7000000Y3000000D03*\nD12*"),
    )
    for how in ((), ("--quiet",), ("--json", "-")):
        assert "\x1b" not in run("compare", "old.gbr", "new.gbr", *RULES, *how).out
