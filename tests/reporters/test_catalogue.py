import pytest

from pastecheck.reporters import catalogue
from pastecheck.reporters._harmless import harmless
from tests.reports import a_bad_board


def test_file_formats_are_found_by_walking_the_folder() -> None:
    assert {"csv", "json", "junit", "sarif"} <= set(catalogue())
    assert list(catalogue()) == sorted(catalogue())


@pytest.mark.parametrize("option", ["csv", "json", "junit", "sarif"])
def test_a_format_says_what_it_is_and_writes_text_that_ends_a_line(option: str) -> None:
    reporter = catalogue()[option]
    assert (reporter.option, bool(reporter.says)) == (option, True)
    assert "".join(reporter.chunks(a_bad_board())).endswith("\n")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("U1", "U1"),
        ("\u00dc1 \u00b5", "\u00dc1 \u00b5"),
        ("\x1b[31m", r"\x1b[31m"),
        ("a\tb\nc", r"a\tb\nc"),
        ("\u202eR1\u200b", r"\u202eR1\u200b"),
        ("\x9b2J", r"\x9b2J"),
        ("\ud800", r"\ud800"),
    ],
)
def test_what_does_not_print_is_escaped(text: str, shown: str) -> None:
    assert harmless(text) == shown
