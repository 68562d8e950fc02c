import pytest

from pastecheck import handbook
from pastecheck.checks import catalogue
from pastecheck.limits import NAMES, STANDARD
from tests.cli.conftest import Run


def test_a_code_is_explained_with_what_to_do(run: Run) -> None:
    said = run("explain", "no-openings")
    assert said.status == 0
    assert "means: the file was read, and nothing in it is an opening" in said.out
    assert "what to do: check that it is the right layer" in said.out


def test_a_code_nearly_written_right_is_offered(run: Run) -> None:
    said = run("explain", "no-opening")
    assert said.status == 2
    assert "did you mean 'no-openings'?" in said.err


def test_a_name_like_none_is_answered_with_the_checks(run: Run) -> None:
    said = run("explain", "xyzzy")
    assert said.status == 2
    assert f"(checks are {', '.join(catalogue())})" in said.err


@pytest.mark.parametrize("code", handbook.codes())
def test_every_code_says_what_it_means_and_what_to_do(code: str) -> None:
    means, do = handbook.codes()[code]
    assert means
    assert do


def test_no_code_is_the_name_of_a_check() -> None:
    assert not set(handbook.codes()) & set(handbook.checks())


def test_a_limit_that_was_passed_is_explained_with_all_limits_and_what_each_bounds(run: Run) -> None:
    said = run("explain", "too-large").out
    flowing = " ".join(said.split())
    for name, bounds in NAMES.items():
        assert f"{name} ({getattr(STANDARD, name.replace('-', '_'))}): {bounds}" in flowing
    assert "--limit NAME=NUMBER" in flowing
    assert "means: " in flowing


@pytest.mark.parametrize("name", NAMES)
def test_the_name_of_a_limit_is_explained_with_the_others(run: Run, name: str) -> None:
    assert name not in handbook.codes()
    assert name not in handbook.checks()
    assert run("explain", name) == run("explain", "too-large")


def test_other_codes_speak_of_no_limits(run: Run) -> None:
    assert "--limit" not in run("explain", "no-openings").out


def test_the_help_tells_where_limits_are_explained(run: Run) -> None:
    flowing = " ".join(run("check", "--help").out.split()).replace("- ", "-")
    assert "pastecheck explain too-large tells what each bounds" in flowing


def test_the_section_trim_is_explained_entry_by_entry(run: Run) -> None:
    said = run("explain", "trim")
    assert said.status == 0
    for entry in ("rows", "reference", "chips", "thermal", "large", "circles", "islands", "errors"):
        assert f"\n\n{entry} - " in said.out
    assert "  only-if-asked: whether it counts only with --also NAME" in said.out
