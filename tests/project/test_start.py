"""`pastecheck start`: a project file that explains itself, and gives the verdict that `check` gives."""

import json
import os
import shutil
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.project import read_project
from pastecheck.project.schema import of_projects
from pastecheck.project.starter import in_quotes
from pastecheck.rulesets.yamltree import read_section
from tests.cli import layers
from tests.cli.conftest import Run, run
from tests.documents import fences
from tests.rulesets.written import as_an_editor_reads

__all__ = ["run"]

TOP = "greenhouse-logger-paste-top.gbr"
BOTTOM = "greenhouse-logger-paste-bottom.gbr"


def written(path: str = "pastecheck.yaml") -> dict[str, Any]:
    """What is written, and valid."""
    made: dict[str, Any] = as_an_editor_reads(Path(path).read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(of_projects().schema).validate(made)
    return made


def test_it_names_what_it_recognises_and_gives_the_same_verdict(run: Run, fixtures: Path) -> None:
    for one in (fixtures / "boards" / "greenhouse-logger-a").glob("*.gbr"):
        shutil.copy(one, one.name)
    said = run("start")
    assert (said.status, said.err) == (0, "")
    assert (
        said.out == "'pastecheck.yaml' is written; look through it, then judge the board: pastecheck check\n"
    )
    stem = "greenhouse-logger"
    assert written()["layers"] == [
        {
            "file": f"{stem}-paste-{side}.gbr",
            "land": f"{stem}-copper-{side}.gbr",
            "mask": f"{stem}-mask-{side}.gbr",
            "outline": f"{stem}-outline.gbr",
        }
        for side in ("bottom", "top")
    ]
    beside = [
        *("--land", f"{stem}-copper-top.gbr", "--land", f"{stem}-copper-bottom.gbr"),
        *("--mask", f"{stem}-mask-top.gbr", "--mask", f"{stem}-mask-bottom.gbr"),
        *("--outline", f"{stem}-outline.gbr"),
    ]
    by_options = run("check", ".", "--rules", "polyester-75-knife", *beside)
    assert run("check") == by_options


@pytest.mark.parametrize("layer", [layers.GOOD, layers.CAREFUL, layers.BAD, layers.NOTHING])
def test_a_layer_alone_gives_what_the_folder_gives(run: Run, layer: bytes) -> None:
    Path("board").mkdir()
    Path("board/paste.gbr").write_bytes(layer)
    before = run("check", "board", "--rules", "polyester-75-knife")
    assert run("start", "board").status == 0
    assert run("check", "--project", "board/pastecheck.yaml").status == before.status


def test_a_side_that_holds_nothing_is_pointed_out_and_judged_as_in_the_folder(run: Run) -> None:
    Path("top.gbr").write_bytes(layers.GOOD)
    Path("bottom.gbr").write_bytes(layers.layer(function="Paste,Bot"))
    before = run("check", ".", "--rules", "polyester-75-knife")
    run("start")
    text = Path("pastecheck.yaml").read_text(encoding="utf-8")
    assert text.count("    # may-be-empty: true  # it holds nothing to cut; if that is right, say so\n") == 1
    after = run("check")
    assert (after.status, after.out) == (before.status, before.out) == (2, before.out)
    Path("pastecheck.yaml").write_text(text.replace("# may-be-empty", "may-be-empty"), encoding="utf-8")
    assert run("check", "--fail-on", "warning").status == 0


def test_it_tells_how_to_judge_a_board_in_another_folder(run: Run) -> None:
    Path("board").mkdir()
    Path("board/paste.gbr").write_bytes(layers.GOOD)
    said = run("start", "board/")
    assert said.out.endswith("judge the board: pastecheck check --project 'board/pastecheck.yaml'\n")


def test_it_never_writes_over_a_file(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    Path("pastecheck.yaml").write_text("mine\n", encoding="utf-8")
    said = run("start")
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith(
        "pastecheck.yaml: error[project]: there is a project file already, and it stays "
    )
    assert Path("pastecheck.yaml").read_text(encoding="utf-8") == "mine\n"


def test_nor_does_it_follow_a_link_that_leads_nowhere(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    Path("pastecheck.yaml").symlink_to("gone.yaml")
    assert run("start").status == 2
    assert not Path("gone.yaml").exists()


@pytest.mark.parametrize(
    ("argv", "told"),
    [
        (("gone",), "gone: error[no-file]: there is no such folder (name the folder of the board)\n"),
        (("",), "pastecheck: error[usage]: the name of the folder is empty (usage: pastecheck start"),
        ((".", "--schema"), "pastecheck: error[usage]: a folder and --schema were given (ask for one"),
        ((), ".: error[no-paste-layer]: no paste layer was found here (it holds nothing that is looked at"),
    ],
)
def test_where_nothing_can_be_begun_a_line_says_why(run: Run, argv: tuple[str, ...], told: str) -> None:
    said = run("start", *argv)
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith(told)
    assert not Path("pastecheck.yaml").exists()


HOSTILE = (
    "a\"b: [#&*!|>'%@`{}],\\-?.gbr",
    "- x: y.gbr",
    "a\nlayers: []\n.gbr",
    "\x1b[31m.gbr",
    "~.gbr",
    "\u202egbr.gbr",
    "\U0001f4a1 \u2028.gbr",
    " #.gbr",
)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_only_a_name(run: Run, name: str) -> None:
    Path(name).write_bytes(layers.GOOD)
    said = run("start")
    assert (said.status, said.err) == (0, "")
    assert written()["layers"] == [{"file": name}]
    assert run("check").out.startswith("cut it: ")


def test_a_name_that_is_no_text_is_refused(run: Run) -> None:
    with open(b"paste\xff.gbr", "wb") as stream:  # noqa: PTH123 -- the name is bytes
        stream.write(layers.GOOD)
    said = run("start")
    assert said.status == 2
    assert "cannot be written: it holds a half of a character" in said.err
    assert os.listdir() == ["paste\udcff.gbr"]  # noqa: PTH208


@given(st.text(st.characters(exclude_categories=["Cs"])))
def test_what_stands_in_quotes_is_read_back(text: str) -> None:
    section = read_section(f"a: {in_quotes(text)}\n".encode(), "x.yaml")
    assert getattr(section.entries["a"].value, "text", None) == text


def test_files_of_two_boards_are_kept_apart_by_their_folders(run: Run) -> None:
    for board in ("a", "b"):
        Path(board).mkdir()
        Path(board, "paste.gbr").write_bytes(layers.GOOD)
        Path(board, "copper.gbr").write_bytes(layers.COPPER)
    run("start")
    assert written()["layers"] == [
        {"file": f"{board}/paste.gbr", "land": f"{board}/copper.gbr"} for board in ("a", "b")
    ]
    assert run("check").status == 0


def test_where_two_could_be_meant_none_is(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    for name in ("copper.gbr", "copper-old.gbr"):
        Path(name).write_bytes(layers.COPPER + name.encode())
    run("start")
    assert written()["layers"] == [{"file": "paste.gbr"}]


def test_copper_of_another_board_is_left_out_and_the_reason_told(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    far = layers.layer("D10*", "X90000000Y0D03*", function="Copper,L1,Top")
    Path("copper.gbr").write_bytes(far)
    Path("mask.gbr").write_bytes(layers.layer("D10*", "X90000000Y0D03*", function="Soldermask,Top"))
    assert run("start").status == 0
    assert written()["layers"] == [{"file": "paste.gbr"}]
    text = Path("pastecheck.yaml").read_text(encoding="utf-8")
    assert '    # land: "copper.gbr"  # left out: no opening lies on a land\n' in text
    assert '    # mask: "mask.gbr"  # left out: it needs the copper\n' in text
    assert run("check").status == 0


def test_what_might_be_paste_as_well_is_told_in_a_comment(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    Path("who-knows.gbr").write_bytes(layers.NAMELESS)
    run("start")
    assert written()["layers"] == [{"file": "paste.gbr"}]
    text = Path("pastecheck.yaml").read_text(encoding="utf-8")
    told = "# not judged, as neither name nor beginning tells which layer it is: 'who-knows.gbr'; name it by "
    assert told in text


def test_each_example_in_the_comments_is_sound(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    run("start")
    text = Path("pastecheck.yaml").read_text(encoding="utf-8")
    names = ("thickness", "powder", "limits", "known", "waivers", "reports")
    lines, is_example = [], False
    for line in text.splitlines():
        is_example = line.startswith("# ") and (
            line.removeprefix("# ").split(":")[0] in names or (is_example and line.startswith("#   "))
        )
        lines.append(line.removeprefix("# ") if is_example else line)
    Path("pastecheck.yaml").write_text("\n".join(lines), encoding="utf-8")
    run("check", "paste.gbr", "--rules", "polyester-75-knife", "--json", "known.json")
    said = run("check", "--today", "2026-11-26")
    assert (said.status, said.err) == (0, "")
    assert set(written()) == {"rules", *names, "layers", "fail-on"}
    assert Path("paste.sarif").is_file()


def test_project_files_that_readme_shows_are_valid_and_read(run: Run, root: Path, fixtures: Path) -> None:
    for one in (fixtures / "boards" / "greenhouse-logger-b").glob("*.gbr"):
        shutil.copy(one, one.name)
    for fence in fences(root / "README.md", "yaml"):
        if "\nlayers:" in fence.text:
            Path("pastecheck.yaml").write_text(fence.text, encoding="utf-8")
            assert written()
            assert read_project("pastecheck.yaml").layers


def test_the_schema_is_printed(run: Run) -> None:
    assert json.loads(run("start", "--schema").out) == of_projects().schema
