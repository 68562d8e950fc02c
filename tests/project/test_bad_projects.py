"""Each bad project file of the catalogue gets one line, with its place and what to do; nothing is written."""

from pathlib import Path

import jsonschema
import pytest

from pastecheck.project.schema import of_projects
from tests.bad_files import Bad
from tests.cli import layers
from tests.cli.conftest import Run, run
from tests.project.bad_projects import BAD_PROJECTS, SOUND
from tests.rulesets.written import as_an_editor_reads

__all__ = ["run"]

VALIDATOR = jsonschema.Draft202012Validator(of_projects().schema)

every_bad_project = pytest.mark.parametrize("bad", BAD_PROJECTS, ids=lambda bad: bad.what)


@pytest.fixture
def board(run: Run) -> Run:
    """The files that the sound one names."""
    Path("top.gbr").write_bytes(layers.GOOD)
    Path("bottom.gbr").write_bytes(layers.layer("D10*", "X0Y0D03*", function="Paste,Bot"))
    Path("copper.gbr").write_bytes(layers.layer("D10*", "X0Y0D03*", function="Copper,L2,Bot"))
    run("check", "top.gbr", "--rules", layers.RULES, "--json", "known.json")
    return run


def test_there_are_enough_and_none_is_twice() -> None:
    assert len({bad.what for bad in BAD_PROJECTS}) == len(BAD_PROJECTS) >= 50
    assert len({bad.of(SOUND) for bad in BAD_PROJECTS}) == len(BAD_PROJECTS)


def test_the_sound_one_is_judged_and_valid(board: Run) -> None:
    Path("pastecheck.yaml").write_text(SOUND, encoding="utf-8")
    said = board("check", "--today", "2026-06-01", "--fail-on", "never")
    assert (said.status, said.err) == (0, "")
    assert {Path("out.json").is_file(), Path("out.csv").is_file()} == {True}
    VALIDATOR.validate(as_an_editor_reads(SOUND))


@every_bad_project
def test_a_bad_project_gets_one_line_with_its_place_and_what_to_do(board: Run, bad: Bad) -> None:
    Path("pastecheck.yaml").write_bytes(bad.of(SOUND).encode())
    before = {path.name: path.read_bytes() for path in Path().iterdir()}
    said = board("check", "--today", "2026-06-01")
    bad.is_told(said, "pastecheck.yaml")
    assert {path.name: path.read_bytes() for path in Path().iterdir()} == before


@pytest.mark.parametrize("bad", [bad for bad in BAD_PROJECTS if bad.by_schema], ids=lambda bad: bad.what)
def test_the_schema_refuses_what_it_can_tell(bad: Bad) -> None:
    if bad.code == "doubled-key":
        pytest.skip("YAML keeps the last of two")
    assert not VALIDATOR.is_valid(as_an_editor_reads(bad.of(SOUND)))


@pytest.mark.parametrize(
    "bad",
    [bad for bad in BAD_PROJECTS if not bad.by_schema and bad.code not in {"not-yaml", "refused-yaml"}],
    ids=lambda bad: bad.what,
)
def test_what_only_the_reader_can_tell_is_valid(bad: Bad) -> None:
    content = as_an_editor_reads(bad.of(SOUND))
    assert content is None or VALIDATOR.is_valid(content)


def test_a_project_that_is_a_folder_or_not_there_is_told(board: Run) -> None:
    said = board("check", "--project", ".")
    assert said == (2, "", ".: error[project]: this is a folder (give a .yaml file)\n")
    said = board("check", "--project", "gone.yaml")
    assert said.err.startswith("gone.yaml: error[project]: the file cannot be read: no such file")


def test_faults_are_told_together(board: Run) -> None:
    content = SOUND.replace("80 um", "80").replace("- top.gbr", "- tpo.gbr").replace("warning", "x")
    Path("pastecheck.yaml").write_text(content, encoding="utf-8")
    lines = board("check").err.splitlines()
    assert [line.split(": ")[0] for line in lines] == [
        "pastecheck.yaml:2:12",
        "pastecheck.yaml:9:5",
        "pastecheck.yaml:28:10",
    ]
