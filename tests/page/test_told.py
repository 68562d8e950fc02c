"""What the page tells, without a browser."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from pastecheck.report import NO_OPENINGS, Level, Report, Status
from pastecheck.reporters._page import groups as groups_module
from pastecheck.reporters._page import picture, told
from pastecheck.reporters.page import REPORTER
from pastecheck.reporters.terminal import verdict
from pastecheck.source import Diagnostic, DiagnosticLevel, Span
from tests.page.pages import made
from tests.reports import a_bad_board, a_busy_board, a_clean_board


def text(report: Report) -> str:
    return "".join(REPORTER.chunks(report))


def test_the_verdict_is_that_of_the_terminal() -> None:
    report = a_bad_board()
    assert verdict(report.layers[0]).startswith("do not cut this (")
    page = text(report)
    assert "Do not cut this</h1>" in page
    assert f'<p class="told">{verdict(report.layers[0])[17:-1]}</p>' in page


def test_a_clean_layer_says_so() -> None:
    page = text(a_clean_board())
    assert "Cut it</h1>" in page
    assert "No opening is past a limit of this rule set." in page


@pytest.mark.parametrize("report", [a_bad_board(), a_busy_board(), a_clean_board()])
def test_groups_and_findings_are_all_there(report: Report) -> None:
    layer = told.page_of(report).layers[0]
    every = list(report.layers[0].findings(Status.NEW))
    assert sum(group.count for group in layer.groups) == len(every)
    for group in layer.groups:
        assert len(group.rows) == group.count
        assert (group.level == "error") == any(row.level == Level.ERROR for row in group.rows)


def test_each_group_says_what_to_do() -> None:
    first, *_ = told.page_of(a_bad_board()).layers[0].groups
    assert first.remedies == ["widen to 0.215 x 0.215 mm"]


def test_what_to_do_first_says_of_what_though_the_file_names_no_components(tmp_path: Path) -> None:
    file = tmp_path / "paste-top.gbr"
    head = "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Paste,Top*%\n"
    file.write_text(f"{head}%ADD10R,0.1X1*%\nD10*\nX0Y0D03*\nM02*\n", encoding="ascii")
    assert "<li>1 opening, 0.10 x 1.00 mm: widen to 0.215 x 1.000 mm</li>" in made(tmp_path, str(file)).text


def test_known_findings_are_counted_and_not_listed() -> None:
    report = a_bad_board()
    outcomes = tuple(
        replace(one, findings=tuple(found._replace(status=Status.KNOWN) for found in one.findings))
        for one in report.layers[0].outcomes
    )
    report = replace(report, layers=(replace(report.layers[0], outcomes=outcomes),))
    layer = told.page_of(report).layers[0]
    assert not layer.groups
    assert layer.settled == "8 findings known"
    page = text(report)
    assert heading_of_findings(page).startswith("Nothing new was found")
    assert "No opening is past a limit" not in page


def test_of_very_many_known_groups_it_is_said_how_many_are_not_listed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(groups_module, "GROUPS_SHOWN", 1)
    report = a_busy_board()
    outcomes = tuple(
        replace(one, findings=tuple(found._replace(status=Status.KNOWN) for found in one.findings))
        for one in report.layers[0].outcomes
    )
    page = text(replace(report, layers=(replace(report.layers[0], outcomes=outcomes),)))
    assert page.count('<li class="dealt"') == 1
    assert re.search(
        r'<p class="quiet">and \d+ more groups, with \d+ findings: --json FILE writes every one</p>', page
    )


def test_a_layer_with_nothing_to_cut_has_neither_film_nor_job_sheet() -> None:
    report = a_clean_board()
    empty = replace(report.layers[0], openings=0, table=NO_OPENINGS, totals=None, job=None, may_be_empty=True)
    page = text(replace(report, layers=(empty,)))
    assert "Nothing to cut, as may be" in page
    assert 'class="job"' not in page
    assert 'class="film"' not in page
    assert heading_of_findings(page) == "There is nothing to cut"
    # nothing is said to have passed where nothing was measured
    assert "No opening is past a limit" not in page
    assert 'class="looked-at"' not in page


def test_where_nothing_is_drawn_no_link_leads_there(
    tmp_path: Path, fixtures: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    layer = str(fixtures / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr")
    assert 'href="#film-1"' in made(tmp_path, layer).text
    monkeypatch.setattr(picture, "DRAWN_UP_TO", 100)
    page = made(tmp_path, layer).text
    assert 'id="film-1"' not in page
    links = page.split('<section class="what-if', 1)[0]
    assert 'href="#film-1"' not in links
    assert '<p class="where">at (56.80, 34.50) mm, line 316</p>' in links


def test_of_very_many_findings_each_group_tells_some_and_how_many_more(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(groups_module, "ALL_ROWS", 10)
    monkeypatch.setattr(groups_module, "ROWS_SHOWN", 5)
    groups = told.page_of(a_busy_board()).layers[0].groups
    assert all(len(group.rows) + group.rows_left == group.count for group in groups)
    assert any(group.rows_left for group in groups)


def heading_of_findings(page: str) -> str:
    found = re.search(r'<h2 id="findings-title-1">(.*?)</h2>', page, re.DOTALL)
    assert found
    return " ".join(found[1].split())


def test_a_warning_about_the_file_is_not_told_as_nothing_found() -> None:
    clean = a_clean_board()
    assert heading_of_findings(text(clean)) == "Nothing was found"
    said = Diagnostic("shared-opening", DiagnosticLevel.WARNING, "3 openings join lands", Span("a.gbr", 3))
    page = text(replace(clean, layers=(replace(clean.layers[0], diagnostics=(said,)),)))
    assert heading_of_findings(page) == (
        "Nothing was found in the openings, but look at what is said of the file"
    )
    assert '<a href="#findings-1">look at what is said of the file</a>' in page


def test_who_may_cut_is_led_to_the_job_sheet() -> None:
    page = text(a_clean_board())
    assert '<a href="#job-title-1">print the job sheet</a>' in page
    assert 'id="job-title-1"' in page
    assert "print the job sheet</a>" not in text(a_bad_board())


def test_layers_of_one_side_are_told_apart_by_their_files(tmp_path: Path, fixtures: Path) -> None:
    boards = [str(fixtures / "boards" / f"greenhouse-logger-{revision}") for revision in "ab"]
    # all four have folders of their own and names alike: on paper, too, they must not be taken for each other
    names = [
        f"greenhouse-logger-{revision}/greenhouse-logger-paste-{side}.gbr"
        for revision in "ab"
        for side in ("bottom", "top")
    ]
    page = made(tmp_path, *boards).text
    assert re.findall(r'<p class="job-file">(.*?)</p>', page) == names
    assert tabs(page) == [f"{side}, {name}" for side, name in zip(("bottom", "top") * 2, names, strict=True)]
    assert tabs(made(tmp_path, boards[0]).text) == ["bottom", "top"]


def test_no_two_parts_of_a_page_have_one_id(tmp_path: Path, fixtures: Path) -> None:
    text = (fixtures / "boards/greenhouse-logger-a/greenhouse-logger-paste-top.gbr").read_text("ascii")
    for name in "ab":
        (tmp_path / f"{name}-paste-top.gbr").write_text(text, encoding="ascii")
    page = made(tmp_path, *(str(tmp_path / f"{name}-paste-top.gbr") for name in "ab")).text
    ids = re.findall(r'<[^>]* id="([^"]+)"', page)
    assert ids.count("1-top-0.120") == ids.count("2-top-0.120") == 1
    assert sorted(set(ids)) == sorted(ids)


def tabs(page: str) -> list[str]:
    return re.findall(r'aria-hidden="true"></span>(.*?)\n<span class="quiet">', page)


def test_what_is_said_of_one_file_is_not_said_to_be_of_several() -> None:
    report = a_bad_board()
    assert len(report.layers[0].diagnostics) > 1
    assert "<h3>About the file</h3>" in text(report)
    beside = replace(report.layers[0], beside=a_busy_board().layers[0].beside)
    assert "<h3>About the files</h3>" in text(replace(report, layers=(beside,)))


def test_what_does_not_print_is_escaped_and_markup_is_text() -> None:
    report = a_bad_board()
    page = text(replace(report, layers=(replace(report.layers[0], file="a\x1b[31m<b>\u202e.gbr"),)))
    assert r"a\x1b[31m&lt;b&gt;\u202e.gbr" in page
    assert "<b>" not in page


def test_the_colours_of_letters_stand_off_what_they_lie_on() -> None:
    page = text(a_clean_board())
    style = page.split("<style>", 1)[1].split("</style>", 1)[0]
    light: dict[str, str] = {}
    dark: dict[str, str] = {}
    for block in re.findall(
        r"(@media screen and \(prefers-color-scheme: ?dark\) ?\{\s*)?:root ?\{(.*?)\}", style, re.DOTALL
    ):
        found = dict(re.findall(r"--([\w-]+): ?(#\w{6})", block[1]))
        (dark if block[0] else light).update(found)
    for colours in (light, dark):
        for letters in ("ink", "quiet", "accent", "pass", "error", "warning"):
            for ground in ("paper", "panel", "shade", "film"):
                assert contrast(colours[letters], colours[ground]) >= 4.5, (letters, ground)


def contrast(one: str, other: str) -> float:
    """By WCAG 2.1, from memory: (lighter + 0.05) / (darker + 0.05) of relative luminances."""
    dark, light = sorted(map(luminance, (one, other)))
    return (light + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_contrast_is_as_the_definition_has_it() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)


def test_the_script_is_small_files_in_strict_mode(root: Path) -> None:
    files = sorted((root / "pastecheck" / "reporters" / "_page").glob("*.js"))
    assert files
    for file in files:
        lines = file.read_text(encoding="utf-8").splitlines()
        assert lines[0] == "'use strict';"
        assert len(lines) <= 400
        assert not [line for line in lines if "innerHTML" in line or "eval(" in line]


def test_the_bottom_is_drawn_from_below_and_the_top_from_above_and_the_job_sheet_shows_them_again(
    tmp_path: Path, fixtures: Path
) -> None:
    page = made(tmp_path, str(fixtures / "boards" / "greenhouse-logger-a")).text
    bottom, top = re.findall(r'<g id="drawn-\d"><g class="film"><g transform="scale\((-?)', page)
    assert (bottom, top) == ("-", "")
    again = re.findall(r'<use href="#drawn-\d" transform="scale\((-?)[\d.]+\) translate\((-?)', page)
    # both as they are; of the bottom the middle, which is right of 0 in the file, is left of it
    assert again == [("", ""), ("", "-")]
    assert page.count("its x runs to the left here") == 1
    told_so = re.findall(r"<figcaption>(Seen from .*?)\. The arrow", page)
    assert told_so == [
        "Seen from the squeegee&#39;s side, the file mirrored",
        "Seen from the squeegee&#39;s side",
    ]


def test_what_is_filled_in_is_what_the_cutter_has(tmp_path: Path, fixtures: Path) -> None:
    layer = str(fixtures / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-bottom.gbr")
    asked = {
        "polyester-75-knife": ["force", "speed", "blade", "cut on", "by"],
        "polyimide-75-laser": ["power", "speed", "passes", "cut on", "by"],
        "nickel-100-electroformed": ["order", "made by", "on"],
    }
    for rules, fields in asked.items():
        page = made(tmp_path, layer, rules=rules).text
        (to_write,) = re.findall(r'<dl class="to-write">(.*?)</dl>', page, re.DOTALL)
        assert re.findall(r"<dt>(.*?)</dt>", to_write) == fields


def test_components_are_looked_for_only_where_the_file_names_some(tmp_path: Path) -> None:
    file = tmp_path / "paste-top.gbr"
    head = "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Paste,Top*%\n%ADD10R,0.1X1*%\nD10*\n"
    file.write_text(f"{head}X0Y0D03*\nM02*\n", encoding="ascii")
    # one group, and nothing to look for
    assert 'class="filters' not in made(tmp_path, str(file)).text
    file.write_text(f"{head}X0Y0D03*\n%ADD11C,0.12*%\nD11*\nX9000000Y0D03*\nM02*\n", encoding="ascii")
    page = made(tmp_path, str(file)).text
    assert 'class="filters' in page
    assert 'class="component"' not in page
    file.write_text(f"{head}%TO.C,R1*%\nX0Y0D03*\nM02*\n", encoding="ascii")
    assert 'class="component"' in made(tmp_path, str(file)).text
