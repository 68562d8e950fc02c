"""What the page says of another film, or of smaller openings, is what a check of them says."""

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import pytest
import shapely

from pastecheck import gerber, openings
from tests.page.browsing import Open, expect
from tests.page.pages import counts, made, reported

if TYPE_CHECKING:
    from playwright.sync_api import Page

pytestmark = pytest.mark.slow

REJUDGED: Final = (
    "aspect-ratio",
    "powder-fit",
    "pitch-fraction",
    "area-ratio",
    "opening-width",
    "web-width",
    "neck-width",
)

# A row of round-ended leads, squares, circles, an L and a bow tie: closed forms, and outlines in tables.
ODD = "\n".join(
    [
        "%FSLAX46Y46*%",
        "%MOMM*%",
        "%TF.FileFunction,Paste,Top*%",
        "%ADD10O,0.3X1.5*%",
        "%ADD11R,0.5X0.5*%",
        "%ADD12C,0.28*%",
        "%TO.C,U1*%",
        "D10*",
        *(f"X{500000 * nth}Y0D03*" for nth in range(8)),
        "%TO.C,R1*%",
        "D11*",
        "X0Y5000000D03*",
        "X640000Y5000000D03*",
        "X640000Y5650000D03*",
        "%TO.C,U2*%",
        "D12*",
        *(f"X{6000000 + 450000 * (nth % 4)}Y{450000 * (nth // 4)}D03*" for nth in range(16)),
        "%TO.C,L1*%",
        "G36*",
        "X0Y8000000D02*",
        "G01*",
        "X1200000Y8000000D01*",
        "X1200000Y8250000D01*",
        "X300000Y8250000D01*",
        "X300000Y9000000D01*",
        "X0Y9000000D01*",
        "X0Y8000000D01*",
        "G37*",
        "%TO.C,B1*%",
        "G36*",
        "X3000000Y8000000D02*",
        "X3500000Y8120000D01*",
        "X4000000Y8000000D01*",
        "X4000000Y8500000D01*",
        "X3500000Y8380000D01*",
        "X3000000Y8500000D01*",
        "X3000000Y8000000D01*",
        "G37*",
        "M02*",
        "",
    ]
)


def judged(page: "Page", thickness_mm: float, step: int, layer: int = 1) -> Any:  # noqa: ANN401 -- JSON
    """What the script of the page says: findings by check, and openings with errors and warnings."""
    return page.evaluate(
        "([layer, thickness, step]) => new Prospects(JSON.parse("
        "document.getElementById(`numbers-${layer}`).textContent)).judged(thickness, step)",
        [layer, thickness_mm, step],
    )


def found(said: Any) -> dict[str, list[int]]:  # noqa: ANN401 -- JSON
    return {check: count for check, count in said["checks"].items() if any(count)}


def expected(layer: Any) -> dict[str, list[int]]:  # noqa: ANN401 -- JSON
    return {check: count for check, count in counts(layer).items() if check in REJUDGED}


def failing(layer: Any) -> list[int]:  # noqa: ANN401 -- JSON
    """Openings by the worst that the checks which are judged anew found of each: errors, warnings."""
    worst: dict[int, str] = {}
    for rule in layer["rules"]:
        for one in rule["findings"] if rule["check"] in REJUDGED else ():
            for row in (one["opening"], one["other"]):
                if row is not None and worst.get(row) != "error":
                    worst[row] = one["level"]
    levels = list(worst.values())
    return [levels.count("error"), levels.count("warning")]


def reduced(content: bytes, inset_mm: float) -> bytes:
    """The same layer with each opening shrunk by shapely, drawn as regions."""
    cut = openings.cut_from(gerber.read(content, "drawn.gbr"))
    lines = ["%FSLAX46Y46*%", "%MOMM*%", "%TF.FileFunction,Paste,Top*%", "G01*"]
    for row in range(len(cut)):
        outline = cut.shapes.outline[cut.shape[row]].buffer(-inset_mm)
        label = cut.labels[cut.label[row]]
        lines += [f"%TO.C,{label}*%"] if label else ["%TD.C*%"]
        for part in shapely.get_parts(outline):
            if part.is_empty:
                continue
            assert not part.interiors
            at = [
                (round(x * 1e6) + int(cut.x_nm[row]), round(y * 1e6) + int(cut.y_nm[row]))
                for x, y in part.exterior.coords
            ]
            at[-1] = at[0]
            lines += ["G36*", f"X{at[0][0]}Y{at[0][1]}D02*", *(f"X{x}Y{y}D01*" for x, y in at[1:]), "G37*"]
    return "\n".join([*lines, "M02*", ""]).encode()


@pytest.mark.parametrize(
    ("rules", "thicknesses_um"),
    [("polyester-75-knife", (50, 100, 200)), ("stainless-125-laser", (75, 125, 150))],
)
def test_another_thickness_is_judged_as_check_does(
    rules: str, thicknesses_um: tuple[int, ...], tmp_path: Path, fixtures: Path, open_page: Open
) -> None:
    board = str(fixtures / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr")
    page = open_page(made(tmp_path, board, rules=rules).file).page
    for um in thicknesses_um:
        said = judged(page, um / 1000, 0)
        layer = reported(tmp_path, board, "--thickness", f"{um} um", rules=rules)["layers"][0]
        assert found(said) == expected(layer)
        assert [said["errors"], said["warnings"]] == failing(layer)


def test_deposit_heights_are_judged_in_another_thickness_too(
    tmp_path: Path, fixtures: Path, open_page: Open
) -> None:
    folder = fixtures / "boards" / "greenhouse-logger-a"
    layers = [str(folder / f"greenhouse-logger-{name}-top.gbr") for name in ("paste", "copper", "mask")]
    arguments = [layers[0], "--land", layers[1], "--mask", layers[2]]
    page = open_page(made(tmp_path, *arguments).file).page
    heights = []
    for um in (25, 50, 250):
        layer = reported(tmp_path, *arguments, "--thickness", f"{um} um")["layers"][0]
        heights.append(counts(layer).get("deposit-height", [0, 0]))
        assert judged(page, um / 1000, 0)["checks"]["deposit-height"] == heights[-1]
    assert any(map(any, heights))


@pytest.fixture(scope="module")
def odd(tmp_path_factory: pytest.TempPathFactory, open_for_all: Open) -> "Page":
    """The page of `ODD`."""
    folder = tmp_path_factory.mktemp("odd")
    file = folder / "odd-paste-top.gbr"
    file.write_text(ODD, encoding="ascii")
    return open_for_all(made(folder, str(file)).file).page


@pytest.mark.parametrize("step", [0, 1, 2, 4, 7, 9])
def test_smaller_openings_are_judged_as_if_they_had_been_drawn_so(
    step: int, tmp_path: Path, odd: "Page"
) -> None:
    smaller = tmp_path / "smaller-paste-top.gbr"
    smaller.write_bytes(reduced(ODD.encode(), step * 0.005))
    assert found(judged(odd, 0.075, step)) == expected(reported(tmp_path, str(smaller))["layers"][0])


def test_there_are_no_more_thicknesses_to_choose_from_than_a_curve_can_show(odd: "Page") -> None:
    for own, count, least, step in (
        (75, 47, 20, 5),
        (250, 97, 20, 5),
        (1000, 100, 20, 20),
        (5000, 100, 100, 100),
    ):
        foils = odd.evaluate("thicknesses", own)
        # each once, from the least to twice the own, or to 250 um
        most = max(250, 2 * own)
        assert foils == sorted({own, *range(least, most + 1, step)})
        assert len(foils) == count


def test_the_axis_of_very_thick_foil_has_a_few_round_numbers(odd: "Page") -> None:
    drawn = (
        "(most) => { const place = document.createElement('div'); const values = [100, 200, most];"
        "drawCurve(place, values, values.map(() => ({ errors: 0, warnings: 1 })), 0, () => {});"
        "const told = [...place.querySelectorAll('text')].filter((one) => one.getAttribute('y') === '172');"
        "return told.map((one) => one.textContent); }"
    )
    assert odd.evaluate(drawn, 10_000) == ["2000", "4000", "6000", "8000", "10000"]
    assert odd.evaluate(drawn, 250) == ["100", "150", "200", "250"]


def test_leads_that_leave_enough_between_them_are_not_judged(tmp_path: Path, open_page: Open) -> None:
    leads = "".join(f"X{650000 * nth}Y0D03*\n" for nth in range(4))
    file = tmp_path / "leads-paste-top.gbr"
    file.write_text(f"%FSLAX46Y46*%\n%MOMM*%\n%ADD10R,0.42X1.5*%\nD10*\n{leads}M02*\n", encoding="ascii")
    page = open_page(made(tmp_path, str(file)).file).page
    # 0.42 / 0.65 = 0.646 is above 0.57, and so is 0.41 / 0.65; but gaps of 0.24 mm are not below 0.235
    assert judged(page, 0.075, 0)["checks"]["pitch-fraction"] == [0, 4]
    assert judged(page, 0.075, 1)["checks"]["pitch-fraction"] == [0, 0]
    smaller = tmp_path / "smaller-paste-top.gbr"
    smaller.write_bytes(reduced(file.read_bytes(), 0.005))
    assert found(judged(page, 0.075, 1)) == expected(reported(tmp_path, str(smaller))["layers"][0])


def test_what_vanishes_fails_and_leaves_no_web(tmp_path: Path, open_page: Open) -> None:
    text = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10R,0.16X1*%\nD10*\nX0Y0D03*\nX300000D03*\nM02*\n"
    file = tmp_path / "two-paste-top.gbr"
    file.write_text(text, encoding="ascii")
    page = open_page(made(tmp_path, str(file)).file).page
    # a web of 0.14 as drawn; with 0.1 taken off all around nothing is left of 0.16
    assert judged(page, 0.075, 0)["checks"]["web-width"] == [1, 0]
    said = judged(page, 0.075, 20)
    assert said["checks"]["web-width"] == [0, 0]
    assert said["checks"]["opening-width"] == [2, 0]
    assert (said["errors"], said["warnings"]) == (2, 0)


def test_the_sliders_say_what_would_be_found(tmp_path: Path, fixtures: Path, open_page: Open) -> None:
    board = str(fixtures / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr")
    page = open_page(made(tmp_path, board).file).page
    expect(page.locator("#what-if-1 .see")).to_be_hidden()
    page.locator("#thickness-1").focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    layer = reported(tmp_path, board, "--thickness", "100 um")["layers"][0]
    errors, warnings = failing(layer)
    told = page.locator("#what-if-1 .result").inner_text()
    assert told == (
        f"In film of 100 um, {errors + warnings} of 382 openings fail: {errors} with errors, {warnings} with "
        "warnings."
    )
    marked = page.locator("#layer-1 .over .may-fail").get_attribute("d") or ""
    assert marked.count("M") == errors
    expect(page.locator("#what-if-1 .see")).to_be_visible()
    page.locator("#what-if-1 .in-figures summary").click()
    assert page.locator("#what-if-1 .in-figures .thickness tr.changed").inner_text().split() == [
        "100",
        str(errors),
        str(warnings),
    ]
    page.locator("#what-if-1 .reset").click()
    assert page.locator("#what-if-1 .result").inner_text().endswith("That is the layer as it is.")
    assert not page.locator("#layer-1 .over .may-fail").get_attribute("d")


def test_volumes_of_deposits_are_judged_by_the_users_own_efficiency(
    tmp_path: Path, fixtures: Path, open_page: Open
) -> None:
    rules = tmp_path / "own.yaml"
    rules.write_text(
        "title: polyester with volumes\nextends: polyester-75-knife\nrules:\n  deposit-volume:\n"
        "    transfer-efficiency: {0.6: 0.3, 1.0: 0.7, 2.0: 0.9}\n    warn-below: 0.02 mm3\n"
        "    error-below: 0.008 mm3\n    source: a test\n",
        encoding="utf-8",
    )
    board = str(fixtures / "boards" / "greenhouse-logger-a" / "greenhouse-logger-paste-top.gbr")
    page = open_page(made(tmp_path, board, rules=str(rules)).file).page
    for um in (50, 120):
        layer = reported(tmp_path, board, "--thickness", f"{um} um", rules=str(rules))["layers"][0]
        told = judged(page, um / 1000, 0)["checks"]["deposit-volume"]
        assert told == counts(layer)["deposit-volume"]
        assert all(told)


@pytest.mark.parametrize(
    "board",
    ["cad02-miniscope-cmos/CMOSv3_2.GTP", "cad04-hipidac/BottomPaste.gbr", "cad13-librevna/VNA-F_Paste.gbr"],
)
def test_real_boards_are_judged_as_check_does(
    board: str, shared: Path, tmp_path: Path, open_page: Open
) -> None:
    file = str(shared / "corpus" / board)
    page = open_page(made(tmp_path, file).file).page
    for um in (50, 150):
        layer = reported(tmp_path, file, "--thickness", f"{um} um")["layers"][0]
        said = judged(page, um / 1000, 0)
        assert found(said) == expected(layer)
        assert [said["errors"], said["warnings"]] == failing(layer)
    # 10 um off all around: 0.20 mm become 0.18, which is no limit of this rule set
    smaller = tmp_path / "smaller-paste-top.gbr"
    smaller.write_bytes(reduced(Path(file).read_bytes(), 0.010))
    assert found(judged(page, 0.075, 2)) == expected(reported(tmp_path, str(smaller))["layers"][0])


def advice(page: "Page") -> str:
    return page.locator("#what-if-1 .advice").inner_text()


def test_a_film_that_is_too_thin_is_not_advised(tmp_path: Path, open_page: Open) -> None:
    square = "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Paste,Top*%\n%ADD10R,0.5X0.5*%\nD10*\nX0Y0D03*\nM02*\n"
    file = tmp_path / "square-paste-top.gbr"
    file.write_text(square, encoding="ascii")
    rules = tmp_path / "own.yaml"
    rules.write_text(
        "title: own\nfoil: {name: film, material: polyester, thickness: 75 um}\nrules:\n"
        "  area-ratio: {error-below: 1.24, source: a test}\n"
        "  deposit-volume: {error-below: 0.0112 mm3, warn-below: 0.0215 mm3, source: a test}\n",
        encoding="utf-8",
    )
    page = open_page(made(tmp_path, str(file), rules=str(rules)).file).page
    # 0.25 mm2: 0.0112 mm3 take 44.8 um, 0.0215 mm3 take 86 um; 0.125 mm over 1.24 is 100.8 um
    assert advice(page) == (
        "With the openings as drawn, there are no errors in film of 45 to 100 um; these checks find nothing "
        "at all in film of 90 to 100 um."
    )
    result = page.locator("#what-if-1 .result")
    # 0.25 mm2 of 75 um are 0.01875 mm3
    expect(result).to_have_text(
        "In film of 75 um, 1 of 1 opening fails: 0 with errors, 1 with warnings. That is the layer as it is."
    )


def test_a_rule_set_whose_checks_know_no_thickness_has_no_what_if(tmp_path: Path, open_page: Open) -> None:
    file = tmp_path / "odd-paste-top.gbr"
    file.write_text(ODD, encoding="ascii")
    rules = tmp_path / "own.yaml"
    rules.write_text(
        "title: own\nfoil: {name: film, material: polyester, thickness: 75 um}\nrules:\n"
        "  opening-span: {warn-above: 3 mm, source: a test}\n",
        encoding="utf-8",
    )
    opened = open_page(made(tmp_path, str(file), rules=str(rules)).file)
    assert opened.page.locator(".what-if").count() == 0
    assert opened.said == []
