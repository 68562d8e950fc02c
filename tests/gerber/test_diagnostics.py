"""Every code is documented and provoked by the smallest file that can do it; variants are `<code>-<what>`."""

import re
from collections.abc import Collection
from pathlib import Path

import pytest

from pastecheck import gerber, openings
from pastecheck.errors import GerberSyntaxError, GerberUnsupportedError, NoOpeningsError
from pastecheck.gerber import codes
from pastecheck.gerber.codes import DIAGNOSTICS, DOCUMENTATION, ERRORS
from pastecheck.openings import cut_from, telling
from pastecheck.source import DiagnosticLevel

ROOT = Path(__file__).resolve().parents[2]
INVALID = ROOT / "fixtures" / "invalid"
UNSUPPORTED = {"image-transform", "negative-image", "too-large", "unsweepable-aperture"}
NOTES = {
    "legacy",
    "modal-operation",
    "nearly-closed",
    "contour-without-move",
    "drawn-twice",
    "drawn-in-pieces",
}
NO_OPENINGS = NoOpeningsError.default_code
EVERY = {*DOCUMENTATION, *openings.DIAGNOSTICS, NO_OPENINGS}


def _code_of(fixture: str) -> str:
    """The longest code that a name begins with."""
    return max((code for code in EVERY if f"{fixture}-".startswith(f"{code}-")), key=len, default="")


FIXTURES = sorted(path.stem for path in INVALID.glob("*.gbr"))


def _fixtures_of(wanted: Collection[str]) -> list[str]:
    return [fixture for fixture in FIXTURES if _code_of(fixture) in wanted]


def _content(fixture: str) -> bytes:
    return (INVALID / f"{fixture}.gbr").read_bytes()


def _line_in(content: bytes) -> int:
    """Where a fixture says that its fault is."""
    found = re.search(rb"line (\d+)[*\n]", content)
    return int(found[1]) if found else 1


def test_each_code_has_a_fixture_and_each_fixture_a_code() -> None:
    assert {_code_of(fixture) for fixture in FIXTURES} == EVERY


def test_no_code_of_the_reader_is_undocumented_or_unused() -> None:
    defined = {name: value for name, value in vars(codes).items() if re.fullmatch(r"[a-z-]+", str(value))}
    constants = {name: value for name, value in defined.items() if name.isupper()}
    assert set(constants.values()) == set(DOCUMENTATION)
    sources = [path.read_text(encoding="utf-8") for path in (ROOT / "pastecheck" / "gerber").glob("*.py")]
    used = {
        name
        for name in constants
        for source in sources
        if re.search(rf"^(?!{name}:).*[^\w]{name}\b", source, re.MULTILINE)
    }
    assert used == set(constants)


def test_no_code_of_the_openings_is_undocumented_or_unused() -> None:
    sources = [path.read_text(encoding="utf-8") for path in (ROOT / "pastecheck" / "openings").glob("*.py")]
    constants = {
        name: value
        for name, value in vars(telling).items()
        if name.isupper() and isinstance(value, str) and re.fullmatch(r"[a-z-]+", value)
    }
    assert set(constants.values()) == set(openings.DIAGNOSTICS)
    for name in constants:
        # once where it is defined, once where it is documented, and where it is told
        assert len(re.findall(rf"\b{name}\b", "".join(sources))) >= 3, name


@pytest.mark.parametrize("fixture", _fixtures_of(ERRORS))
def test_what_cannot_be_read_is_refused_at_its_line(fixture: str) -> None:
    content, code = _content(fixture), _code_of(fixture)
    with pytest.raises((GerberSyntaxError, GerberUnsupportedError)) as caught:
        gerber.read(content, "layer.gbr")
    error = caught.value
    assert (error.code, error.span.path, error.span.line) == (code, "layer.gbr", _line_in(content))
    assert isinstance(error, GerberUnsupportedError) == (code in UNSUPPORTED)
    assert error.hint
    assert error.text[0].islower()
    assert not error.text.endswith(".")


@pytest.mark.parametrize("fixture", _fixtures_of(DIAGNOSTICS))
def test_what_can_be_read_all_the_same_is_told_once_with_its_line(fixture: str) -> None:
    content, code = _content(fixture), _code_of(fixture)
    (said,) = gerber.read(content, "layer.gbr").diagnostics
    assert (said.code, said.span.path, said.span.line) == (code, "layer.gbr", _line_in(content))
    assert (said.level is DiagnosticLevel.NOTE) == (code in NOTES)


@pytest.mark.parametrize("fixture", _fixtures_of(openings.DIAGNOSTICS))
def test_what_can_be_cut_all_the_same_is_told_once_with_its_line(fixture: str) -> None:
    content, code = _content(fixture), _code_of(fixture)
    drawing = gerber.read(content, "layer.gbr")
    assert not drawing.diagnostics
    (said,) = cut_from(drawing).diagnostics
    assert (said.code, said.span.path, said.span.line) == (code, "layer.gbr", _line_in(content))
    assert (said.level is DiagnosticLevel.NOTE) == (code in NOTES)


def test_a_layer_that_leaves_nothing_to_cut_is_refused() -> None:
    with pytest.raises(NoOpeningsError) as caught:
        cut_from(gerber.read(_content(NO_OPENINGS), "layer.gbr"))
    assert caught.value.code == NO_OPENINGS


def test_a_remark_that_holds_for_many_statements_is_told_once_with_their_number() -> None:
    flashes = "".join(f"X{place}Y0*\n" for place in range(1000))
    drawing = gerber.read(
        f"%FSLAX24Y24*%\n%MOMM*%\n%ADD10C,1*%\nD10*\nX0Y5D03*\n{flashes}M02*\n".encode(), "a"
    )
    (said,) = drawing.diagnostics
    assert (said.code, said.span.line, said.text[-12:]) == ("modal-operation", 6, "(1000 times)")


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (b"\x89PNG\r\n\x1a\n", "a PNG picture"),
        (b"PK\x03\x04paste*", "a zip archive"),
        (b"%PDF-1.4", "a PDF document"),
        (b"<html>* {a: b}</html>", "an XML or HTML document"),
        (b"solid paste\nfacet", "a mesh"),
        (b"M48\nMETRIC\nT1C0.8\n%\nX1Y1\nM30", "a drill file"),
        (b"; by hand\nM48\nT01C.8*", "a drill file"),
        (b"T1C0.5\nX1Y1", "a drill file"),
        (b"  0\nSECTION\n  2\nHEADER", "a DXF drawing"),
        (b"\xff\xfe%\0F\0S\0", "a text in UTF-16"),
        (b"hello", "it holds no '*'"),
        (b"\x7fELF\x02\x01\0*", "a binary file"),
    ],
)
def test_files_of_other_kinds_are_named(content: bytes, kind: str) -> None:
    with pytest.raises(GerberSyntaxError) as caught:
        gerber.read(content, "a")
    assert caught.value.code == "not-gerber"
    assert kind in caught.value.text


def test_an_aperture_that_is_defined_again_draws_what_it_was_at_each_flash() -> None:
    drawing = gerber.read((INVALID / "redefined-aperture.gbr").read_bytes(), "a")
    assert [drawing.apertures[what].name for what in drawing.what.tolist()] == ["C", "R"]
    assert [drawing.apertures[what].line for what in drawing.what.tolist()] == [4, 7]
