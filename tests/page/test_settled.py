"""What was known before or is waived, on the page: told by what and why, apart from what is new."""

import io
import re
from contextlib import redirect_stdout
from pathlib import Path

import pytest

from pastecheck.cli import main
from tests.page.browsing import Open, expect
from tests.page.pages import made

LAYER = (
    "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Paste,Top*%\n%ADD10R,0.1X1*%\nD10*\n"
    "%TO.C,J2*%\nX0Y0D03*\n%TO.C,J3*%\nX5000000Y0D03*\nM02*\n"
)
"""Openings of J2 and J3 that are too narrow for a knife."""


@pytest.fixture
def known(tmp_path: Path) -> Path:
    """The page of a layer all of whose findings are known."""
    layer, earlier = tmp_path / "paste-top.gbr", tmp_path / "earlier.json"
    layer.write_text(LAYER, encoding="ascii")
    with redirect_stdout(io.StringIO()):
        main(["check", str(layer), "--rules", "polyester-75-knife", "--json", str(earlier)])
    return made(tmp_path, str(layer), "--known", str(earlier)).file


def test_known_findings_are_told_by_what_and_listed_apart(known: Path) -> None:
    page = known.read_text(encoding="utf-8")
    assert "Nothing new</h1>" in page
    assert re.search(r'<p class="quiet">known: \d+ errors and \d+ warnings as in .*earlier\.json</p>', page)
    assert 'class="group ' not in page
    dealt = re.findall(r'<li class="dealt".*?<h3>.*?</span>(known)</span>\s*(.*?)</h3>', page, re.DOTALL)
    assert dealt == [("known", "2 openings of J2 and J3, 0.10 x 1.00 mm")]


@pytest.mark.slow
def test_a_known_finding_is_flown_to_and_told_of_its_opening(known: Path, open_page: Open) -> None:
    page = open_page(known, reduced_motion="reduce").page
    page.locator("details.settled > summary").click()
    page.locator(".dealt a.fly").click()
    expect(page.locator(".dealt")).to_have_class("dealt flown-to")
    expect(page.locator(".measures")).to_contain_text(
        "error, known: opening width 0.100 mm is below 0.167 mm"
    )


def test_a_waiver_is_told_with_its_reason(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("paste-top.gbr").write_text(LAYER, encoding="ascii")
    Path("pastecheck.yaml").write_text(
        "rules: polyester-75-knife\nlayers: [paste-top.gbr]\nwaivers:\n"
        "  - {check: opening-width, component: J2, reason: 'it is <b>hand soldered</b>'}\n",
        encoding="ascii",
    )
    with redirect_stdout(io.StringIO()):
        main(["check", "--page", "page.html"])
    page = Path("page.html").read_text(encoding="utf-8")
    assert "waived: " in page
    assert "pastecheck.yaml:4, it is &lt;b&gt;hand soldered&lt;/b&gt;</p>" in page
    assert re.findall(r'<li class="dealt".*?<h3>.*?</span>(\w+)</span>\s*(.*?)</h3>', page, re.DOTALL) == [
        ("waived", "1 opening of J2, 0.10 x 1.00 mm")
    ]
    assert re.search(r'<li class="group error".*?1 opening of J3, 0\.10 x 1\.00 mm</h3>', page, re.DOTALL)
