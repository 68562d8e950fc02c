import json
import os
import stat
from pathlib import Path

import jsonschema
import pytest

from pastecheck.reporters import catalogue, jsondoc
from tests.cli import layers
from tests.cli.conftest import Run

CHECK = ("check", "paste.gbr", "--rules", layers.RULES, "--fail-on", "never")


@pytest.fixture(autouse=True)
def paste(run: Run) -> None:
    """A layer in the folder of the test."""
    Path("paste.gbr").write_bytes(layers.BAD)


def _names() -> list[str]:
    return sorted(path.name for path in Path().iterdir())


def test_json_on_standard_output_stands_there_alone_and_is_valid(run: Run) -> None:
    said = run(*CHECK, "--json", "-")
    assert said.status == 0
    assert not said.err
    document = json.loads(said.out)
    jsonschema.validate(document, jsondoc.schema())
    assert document["verdict"] == "fail"
    assert document["layers"][0]["side"] == "top"


def test_files_hold_what_standard_output_would(run: Run) -> None:
    formats = list(catalogue())
    alone = {name: run(*CHECK, f"--{name}", "-").out for name in formats}
    said = run(*CHECK, *(word for name in formats for word in (f"--{name}", f"out.{name}")))
    assert said.out.startswith("do not cut this")
    assert _names() == sorted([*(f"out.{name}" for name in formats), "paste.gbr"])
    assert {name: Path(f"out.{name}").read_bytes() for name in formats} == {
        name: text.encode() for name, text in alone.items()
    }


@pytest.mark.parametrize(("option", "start"), [("--sarif", '{"$schema": "https://'), ("--junit", "<?xml ")])
def test_a_format_for_ci_on_standard_output_stands_there_alone(run: Run, option: str, start: str) -> None:
    said = run(*CHECK, option, "-", "--quiet")
    assert said.out.startswith(start)
    assert "do not cut this" not in said.out
    assert not said.err


@pytest.mark.parametrize("option", list(catalogue()))
def test_what_could_not_be_judged_leaves_no_report(run: Run, option: str) -> None:
    Path("paste.gbr").write_bytes(layers.TRUNCATED)
    Path("old").write_text("as it was", encoding="utf-8")
    said = run(*CHECK, f"--{option}", "old")
    assert (said.status, said.out) == (2, "")
    assert Path("old").read_text(encoding="utf-8") == "as it was"


def test_the_same_input_gives_the_same_bytes(run: Run) -> None:
    assert run(*CHECK, "--json", "-") == run(*CHECK, "--json", "-")


def test_a_format_may_go_to_a_file_and_another_to_standard_output(run: Run) -> None:
    said = run(*CHECK, "--json", "-", "--csv", "out.csv")
    json.loads(said.out)
    assert Path("out.csv").read_text(encoding="utf-8").startswith("opening,x_mm,y_mm")


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--json", "-", "--csv", "-"), "pastecheck: error[usage]: two reports would go to standard output"),
        (
            ("--sarif", "-", "--junit", "-"),
            "pastecheck: error[usage]: two reports would go to standard output",
        ),
        (("--sarif", "x", "--junit", "x"), "pastecheck: error[usage]: two reports would go to 'x'"),
        (("--junit", "paste.gbr"), "pastecheck: error[usage]: 'paste.gbr' is read, and would be overwritten"),
        (("--json", "x", "--csv", "./x"), "pastecheck: error[usage]: two reports would go to 'x'"),
        (("--json", "paste.gbr"), "pastecheck: error[usage]: 'paste.gbr' is read, and would be overwritten"),
        (("--json", "none/x"), "none/x: error[output]: has no folder to stand in (make the folder first)"),
        (("--json", "."), ".: error[output]: is a folder"),
        (("--json", "x/"), "x: error[output]: is named as a folder: 'x/' (name a file)"),
        (("--page", "x/."), "x: error[output]: is named as a folder: 'x/.' (name a file)"),
        (("--json", "paste.gbr/x"), "paste.gbr/x: error[output]: "),
        (("--json", "x" * 300), f"{'x' * 300}: error[output]: cannot be written: "),
    ],
)
def test_a_report_that_can_go_nowhere_is_refused_and_nothing_is_written(
    run: Run, options: tuple[str, ...], told: str
) -> None:
    said = run(*CHECK, "--csv", "other.csv", *options)
    assert said.status == 2
    assert not said.out or "x" * 300 in options
    assert said.err.startswith(told)
    assert said.err.count("\n") == 1
    assert _names() == ["paste.gbr"]
    assert Path("paste.gbr").read_bytes() == layers.BAD


def test_a_report_never_overwrites_a_layer_that_was_found_in_a_folder(run: Run) -> None:
    said = run("check", ".", "--rules", layers.RULES, "--json", "paste.gbr")
    assert said.status == 2
    assert Path("paste.gbr").read_bytes() == layers.BAD


def test_a_report_never_overwrites_a_rule_set_or_what_it_extends(run: Run, fixtures: Path) -> None:
    base = (fixtures.parent / "rules" / "polyester-75-knife.yaml").read_bytes()
    Path("base.yaml").write_bytes(base)
    Path("mine.yaml").write_text("title: mine\nextends: base.yaml\n", encoding="utf-8")
    for name in ("mine.yaml", "base.yaml"):
        said = run("check", "paste.gbr", "--rules", "mine.yaml", "--json", name)
        assert said.status == 2
        assert said.err.startswith(f"pastecheck: error[usage]: '{name}' is read, and would be overwritten")
    assert Path("base.yaml").read_bytes() == base


def test_a_report_never_overwrites_a_layer_by_another_name_of_it(run: Run) -> None:
    Path("link.gbr").symlink_to("paste.gbr")
    said = run(*CHECK, "--json", "link.gbr")
    assert said.status == 2
    assert Path("paste.gbr").read_bytes() == layers.BAD


def test_links_in_a_circle_are_told(run: Run) -> None:
    Path("a").symlink_to("b")
    Path("b").symlink_to("a")
    assert run("check", "a", "--rules", layers.RULES).err.startswith("a: error[unreadable]: ")
    assert run(*CHECK, "--json", "a").err.startswith("a: error[output]: ")


def test_a_report_keeps_the_link_and_the_permissions_of_what_it_replaces(run: Run) -> None:
    Path("real.json").write_text("old", encoding="utf-8")
    Path("real.json").chmod(0o640)
    Path("link.json").symlink_to("real.json")
    assert run(*CHECK, "--json", "link.json").status == 0
    assert Path("link.json").is_symlink()
    assert Path("real.json").read_text(encoding="utf-8").startswith("{")
    assert stat.S_IMODE(Path("real.json").stat().st_mode) == 0o640


def test_a_device_is_written_to_and_not_replaced(run: Run) -> None:
    assert run(*CHECK, "--json", os.devnull).status == 0
    assert not Path(os.devnull).is_file()


def test_quiet_leaves_the_verdict(run: Run) -> None:
    said = run(*CHECK, "--quiet")
    assert said.out.count("\n") == 1
    assert said.out.startswith("do not cut this")


def test_colour_is_shown_only_when_asked_for_outside_a_terminal(run: Run) -> None:
    assert "\x1b[" in run(*CHECK, "--color", "always").out
    assert "\x1b[" not in run(*CHECK).out
    assert "\x1b[" not in run(*CHECK, "--color", "never").out


@pytest.mark.parametrize(
    "label", ["\x1b[31mU1\x1b]0;x\x07", "\\u001B[2JU1", "[bold red]U1[/]", "U1\u202egnp"]
)
def test_a_label_never_reaches_the_terminal_raw(run: Run, label: str) -> None:
    Path("paste.gbr").write_bytes(layers.layer(f"%TO.C,{label}*%", "D12*", "X0Y0D03*"))
    said = run(*CHECK)
    told = said.out + said.err
    assert "U1" in told
    assert not set(told) & {"\x1b", "\x07", "\u202e"}
    if said.status == 0:  # else the reader refused it
        json.loads(run(*CHECK, "--json", "-").out)
        if label.startswith("["):
            assert label in told  # not taken for a mark of style
