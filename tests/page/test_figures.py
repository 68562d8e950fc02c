"""Every figure of the page is in the JSON report of the same run, and every finding of that in the page."""

import json
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from tests.page.pages import Made, made


class _Cells(HTMLParser):
    """Rows of the tables of findings, and the numbers that the script goes by."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.numbers: list[Any] = []
        self._in: str | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        if tag == "tr":
            self.rows.append([])
        if tag == "td" and self.rows:
            self.rows[-1].append("")
        self._in = "json" if named.get("type") == "application/json" else tag

    def handle_data(self, data: str) -> None:
        if self._in == "json":
            self.numbers.append(json.loads(data))
        elif self.rows and self.rows[-1]:
            self.rows[-1][-1] += data.strip()

    def handle_endtag(self, tag: str) -> None:
        self._in = None
        if tag == "table":
            self.rows.append([])  # what follows is of no row


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory, fixtures: Path) -> Made:
    file = fixtures / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr"
    return made(tmp_path_factory.mktemp("page"), str(file))


def cells(page: Made) -> _Cells:
    found = _Cells()
    found.feed(page.text)
    return found


def test_each_finding_is_told_with_its_level_text_and_line(board: Made) -> None:
    wanted = sorted(
        (one["level"], one["text"], str(one["line"]))
        for rule in board.json["layers"][0]["rules"]
        for one in rule["findings"]
    )
    told = [row for row in cells(board).rows if row and row[0] in {"error", "warning"}]
    groups = board.json["layers"][0]["groups"]
    alone = sum(sum(one["findings"] for one in group["checks"]) == 1 for group in groups)
    assert len(told) + alone == len(wanted)
    assert {(row[0], row[1], row[4]) for row in told} <= set(wanted)


def test_the_numbers_of_the_script_are_those_of_the_report(board: Made) -> None:
    (numbers,) = cells(board).numbers
    layer = board.json["layers"][0]
    assert len(numbers["openings"]["x"]) == layer["openings"]
    limits = {rule["check"]: rule["limits"] for rule in layer["rules"]}
    for check, told in numbers["limits"].items():
        assert {name: told[name] for name in told if name != "title"} == {
            name: value for name, value in limits[check].items() if value is not None
        }
    area = numbers["outlines"]["area"]
    every = sum(area[outline] for outline in numbers["openings"]["outline"])
    assert every == pytest.approx(layer["open_area_mm2"], rel=1e-8)
    for rule in layer["rules"]:
        for one in rule["findings"]:
            if one["other"] is None:
                row = one["opening"] - 1
                at = [numbers["openings"][axis][row] / 1e4 for axis in "xy"]
                # the place of a side or a neck is not the middle; it is within the opening
                assert at == pytest.approx(one["at_mm"], abs=2.0)


def test_equal_reports_are_equal_pages(board: Made, tmp_path: Path, fixtures: Path) -> None:
    file = fixtures / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr"
    assert made(tmp_path, str(file)).text == board.text


def test_nothing_in_the_page_leads_out_of_it(board: Made) -> None:
    links = re.findall(r'(?:href|src|action)="([^"]*)"', board.text)
    assert links
    assert all(link.startswith("#") for link in links)
    assert "http" not in re.sub(r"http://www\.w3\.org/\S+|http-equiv", "", board.text)


def test_the_policy_has_the_hashes_of_what_stands_in_the_page(board: Made) -> None:
    import base64
    import hashlib
    from html import unescape

    policy = unescape(re.findall(r'Policy" content="([^"]*)"', board.text)[0])
    for tag in ("style", "script"):
        inside = board.text.split(f"<{tag}>", 1)[1].split(f"</{tag}>", 1)[0]
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy
    assert policy.startswith("default-src 'none';")


def test_an_opening_just_past_the_limit_is_not_hidden_by_one_just_within_it(tmp_path: Path) -> None:
    # of squares the area ratio is side / (4 x 75 um): 0.65967 warns and 0.66033 does not, at 0.66; in the
    # picture of sizes they are one mark
    layer = tmp_path / "paste-top.gbr"
    layer.write_text(
        "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Paste,Top*%\n%ADD10R,0.1981X0.1981*%\n"
        "%ADD11R,0.1979X0.1979*%\nD10*\nX0Y0D03*\nX5000000Y0D03*\nD11*\nX9000000Y0D03*\nM02*\n",
        encoding="ascii",
    )
    found = made(tmp_path, str(layer))
    rule = next(rule for rule in found.json["layers"][0]["rules"] if rule["check"] == "area-ratio")
    assert [one["level"] for one in rule["findings"]] == ["warning"]
    marks = re.findall(r'<path class="dot (\w+)"[^>]*><title>(.*?)</title>', found.text)
    assert marks == [("warning", "3 openings: area ratio 0.66, 0.00294 mm3")]
