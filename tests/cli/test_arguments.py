from pathlib import Path

import pytest

import pastecheck
from pastecheck import reporters, rulesets
from tests.cli import layers
from tests.cli.conftest import Run

KNIFE = ("--rules", "polyester-75-knife")
PREFIX = "pastecheck: error[usage]: "


@pytest.mark.parametrize(
    ("argv", "told"),
    [
        ((), "no command was given (start with: pastecheck --help)"),
        (("chek",), "there is no command 'chek' (did you mean 'check'?)"),
        (("--versoin",), "there is no option '--versoin' without a command (did you mean '--version'?)"),
        (("--quiet", "check"), "there is no option '--quiet' without a command (options stand behind a "),
        (("cut", "a"), "there is no command 'cut' (known here: check, start, films, compare, trim, draw"),
        (("check", "a", "--colour", "never"), "there is no option '--colour' (did you mean '--color'?)"),
        (("check", "--rules", "x"), "no layer was named (usage: pastecheck check LAYER... --rules SET ["),
        (("check", "a", "--rule", "x"), "there is no option '--rule' (did you mean '--rules'?)"),
        # like --rules, --quiet and --as-paste only by their dashes and by chance
        (("check", "a", "--xyzzy", "b"), "there is no option '--xyzzy' (usage: pastecheck check "),
        (("check", "a", "--paper", "b"), "there is no option '--paper' (usage: pastecheck check "),
        (("check", "", *KNIFE), "the name of a layer is empty (name a Gerber file)"),
        (("check", "a", *KNIFE, *KNIFE), "--rules is given twice (usage: "),
        (("explain",), "no check was named (name one of area-ratio, "),
        (("explain", "web-with"), "there is no check or code 'web-with' (did you mean 'web-width'?)"),
        (("rules", "a", "b"), "'b' is one argument too many (usage: pastecheck rules [SET | "),
        (("check", "a", "--rules"), "argument --rules: expected one argument (usage: "),
        (("check", "a", "--fail-on", "x"), "argument --fail-on: invalid choice: 'x' "),
        (("check", "a", *KNIFE, "--thickness", "75"), "--thickness: expected a length"),
        (("check", "a", *KNIFE, "--thickness", "75 mm"), "--thickness: expected a thick"),
        (("check", "a", *KNIFE, "--powder", "9"), "--powder: expected a powder type, one of 3, 4, 5"),
        (("check", "a", *KNIFE, "--powder", "4", "--powder", "5"), "--powder is given twice (usage: "),
    ],
)  # fmt: skip
def test_wrong_arguments_are_told_in_one_line(run: Run, argv: tuple[str, ...], told: str) -> None:
    said = run(*argv)
    assert said.status == 2
    assert not said.out
    assert said.err.startswith(PREFIX + told)
    assert said.err.count("\n") == 1
    assert said.err.endswith(")\n")


def test_without_a_rule_set_all_are_listed(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    said = run("check", "paste.gbr")
    assert said.status == 2
    assert said.err.startswith(PREFIX + "no rule set was named")
    assert all(name in said.err for name in rulesets.shipped())


def test_a_misspelt_rule_set_is_answered_with_the_nearest(run: Run) -> None:
    said = run("check", "paste.gbr", "--rules", "polyester-75-knive")
    assert said.status == 2
    assert "did you mean 'polyester-75-knife'?" in said.err


def test_help_teaches_a_first_command_and_the_exit_status(run: Run) -> None:
    said = run("--help")
    assert said == run("-h")
    assert said.status == 0
    assert "pastecheck check my-board-paste-top.gbr --rules polyester-75-knife" in said.out
    assert "2  not judged" in said.out
    assert max(map(len, said.out.splitlines())) <= 110


def test_help_of_check_lists_every_report_format(run: Run) -> None:
    said = run("check", "--help")
    assert said.status == 0
    assert all(f"--{option} FILE" in said.out for option in reporters.catalogue())


@pytest.mark.parametrize("command", ["rules", "explain"])
def test_every_command_has_help(run: Run, command: str) -> None:
    said = run(command, "--help")
    assert said.status == 0
    assert said.out.startswith(f"usage: pastecheck {command} ")


def test_the_version_is_told(run: Run) -> None:
    assert run("--version") == (0, f"pastecheck {pastecheck.__version__}\n", "")


def test_a_check_is_explained(run: Run) -> None:
    said = run("explain", "area-ratio")
    assert said.status == 0
    assert said.out.startswith("area-ratio - Area ratio: ")


def test_a_file_may_begin_like_an_option_after_two_dashes(run: Run) -> None:
    Path("-x.gbr").write_bytes(layers.GOOD)
    said = run("check", *KNIFE, "--quiet", "--", "-x.gbr")
    assert said == (0, "cut it: -x.gbr\n", "")
