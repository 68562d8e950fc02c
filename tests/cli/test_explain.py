import pytest

from pastecheck import handbook
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
    assert "(checks are area-ratio, aspect-ratio, opening-width, web-width)" in said.err


@pytest.mark.parametrize("code", handbook.codes())
def test_every_code_says_what_it_means_and_what_to_do(code: str) -> None:
    means, do = handbook.codes()[code]
    assert means
    assert do


def test_no_code_is_the_name_of_a_check() -> None:
    assert not set(handbook.codes()) & set(handbook.checks())
