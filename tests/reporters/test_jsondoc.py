import json
from dataclasses import replace
from typing import Any

import jsonschema
import pytest

from pastecheck.report import BesideFile, Report
from pastecheck.reporters import jsondoc
from pastecheck.reporters.jsondoc import GROUPS_TOLD
from tests.reports import (
    Slot,
    a_bad_board,
    a_busy_board,
    a_clean_board,
    finding,
    layer,
    outcome,
    renamed,
    report,
    table,
)


def document(of: Report) -> dict[str, Any]:
    made: dict[str, Any] = json.loads("".join(jsondoc.chunks(of)))
    return made


def many(count: int) -> Report:
    openings = table([Slot(float(k), 0.0, 0.15, 1.5) for k in range(count)])
    found = [finding(openings, "opening-width", 0.15, 0.17, k + 1) for k in range(count)]
    return report(layer(openings, [outcome("opening-width", found)]))


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(jsondoc.schema())


@pytest.mark.parametrize("of", [a_bad_board(), a_clean_board(), a_busy_board(), many(3)])
def test_a_report_is_as_the_schema_says(of: Report) -> None:
    jsonschema.Draft202012Validator(jsondoc.schema()).validate(document(of))


@pytest.mark.parametrize("place", ["", "layers", "rules", "findings", "limits", "groups", "totals", "job"])
def test_the_schema_refuses_what_it_does_not_know(place: str) -> None:
    made = document(a_bad_board())
    layer_ = made["layers"][0]
    rule = layer_["rules"][1]
    places = {
        "": made,
        "layers": layer_,
        "rules": rule,
        "findings": rule["findings"][0],
        "groups": layer_["groups"][0],
        "totals": layer_["totals"],
        "job": layer_["job"],
        "limits": rule["limits"],
    }
    places[place]["surprise"] = 1
    with pytest.raises(jsonschema.ValidationError, match="surprise"):
        jsonschema.Draft202012Validator(jsondoc.schema()).validate(made)


def test_a_report_has_the_members_that_others_rely_on() -> None:
    made = document(a_bad_board())
    members = ["format", "format_version", "tool", "verdict", "rule_set", "known", "waivers", "layers"]
    assert list(made) == members
    assert (made["format"], made["format_version"], made["verdict"]) == ("pastecheck report", 1, "fail")
    assert made["tool"] == {"name": "pastecheck", "version": "0.1.0"}
    assert made["rule_set"]["foil"] == {
        "name": "polyester film",
        "material": "polyester",
        "thickness_mm": 0.075,
    }
    (top,) = made["layers"]
    assert top["bounds_mm"] == [0.0, 0.0, 20.0, 10.0]
    assert top["diagnostics"][1] == {
        "code": "missing-end",
        "level": "warning",
        "text": "the file does not end with M02",
        "file": "boards/paste-top.gbr",
        "line": 99,
        "column": 1,
    }
    assert [rule["check"] for rule in top["rules"]] == ["aspect-ratio", "opening-width", "web-width"]
    assert top["rules"][2]["limits"] == {"error_below": 0.17, "warn_below": 0.225}
    assert top["rules"][2]["findings"][0] == {
        "level": "error",
        "value": 0.15,
        "limit": 0.17,
        "at_mm": [1.0, 2.0],
        "opening": 1,
        "other": 2,
        "label": "U1",
        "line": 12,
        "fingerprint": "web-width 1 2",
        "text": "web width 0.150 mm is below 0.170 mm",
        "remedy": "neither opening can give way enough: use laser-cut film or steel foil, or paste this part "
        "by hand",
        "status": "new",
        "waiver": None,
        "group": 2,
        "openings_mm": [[1.0, 2.0], [1.3, 2.0]],
    }


def test_groups_tell_what_findings_have_in_common() -> None:
    (top,) = document(a_bad_board())["layers"]
    assert [group["group"] for group in top["groups"]] == [1, 2, 3]
    assert top["groups"][1] == {
        "group": 2,
        "level": "error",
        "new": 5,
        "kind": "openings",
        "count": 3,
        "among": 3,
        "components": ["U1"],
        "rows": None,
        "sizes": [{"width_mm": 0.15, "length_mm": 1.5, "is_round": False}],
        "within_mm": [1.0, 2.0, 1.6, 2.0],
        "checks": [
            {"check": "opening-width", "findings": 3, "errors": 3, "worst": 0.15},
            {"check": "web-width", "findings": 2, "errors": 2, "worst": 0.15},
        ],
        "remedies": [
            finding["remedy"] for finding in (top["rules"][1]["findings"][1], top["rules"][2]["findings"][0])
        ],
    }
    of_findings = [[one["group"] for one in rule["findings"]] for rule in top["rules"]]
    assert of_findings == [[1], [1, 2, 2, 2, 3], [2, 2]]


def test_groups_beyond_those_told_are_counted() -> None:
    openings = table([Slot(float(k), 0.0, 0.15, 1.5 + 0.1 * k) for k in range(GROUPS_TOLD + 2)])
    found = [finding(openings, "opening-width", 0.15, 0.17, k + 1) for k in range(len(openings))]
    (top,) = document(report(layer(openings, [outcome("opening-width", found)])))["layers"]
    assert (len(top["groups"]), top["groups_left_out"]) == (GROUPS_TOLD, 2)
    assert sorted(one["group"] for one in top["rules"][0]["findings"]) == list(range(1, GROUPS_TOLD + 3))


def test_totals_and_job_have_units_in_their_names() -> None:
    (top,) = document(a_bad_board())["layers"]
    assert top["totals"] == {
        "outlines": 5,
        "cut_length_mm": 1230.0,
        "opening_volume_mm3": 0.05,
        "deposit_volume_mm3": 0.05,
        "has_efficiency": False,
        "paste_mg": 0.207,
        "paste_g_cm3": 4.14,
    }
    # 126 s, less or more by 30 %
    time = {"speed_mm_s": 20.0, "passes": 2, "lifts": 10, "seconds": 126.0, "speeds_mm_s": []}
    time["within_s"] = [88.2, 163.8]
    assert top["job"]["time"] == time
    assert top["job"]["squeegee"] == {"direction_deg": 90.0, "webs": 2, "prevails": True}
    assert top["job"]["is_mirrored"] is False
    assert top["job"]["smallest"][0]["components"] == ["R9"]


def test_what_the_rule_set_does_not_say_is_null() -> None:
    (bad,) = a_bad_board().layers
    assert bad.job is not None
    bare = replace(bad, job=replace(bad.job, time=None, squeegee=None, is_mirrored=None))
    made = document(report(bare))
    jsonschema.Draft202012Validator(jsondoc.schema()).validate(made)
    job = made["layers"][0]["job"]
    assert (job["time"], job["squeegee"], job["is_mirrored"], job["sheet"]["spare_mm"]) == (None,) * 4


def test_the_rule_sets_own_sheet_is_told_with_its_sides() -> None:
    (bad,) = a_bad_board().layers
    assert bad.job is not None
    sheet = replace(bad.job.sheet, spare_mm=12.0, own_mm=(210.0, 297.0))
    made = document(report(replace(bad, job=replace(bad.job, sheet=sheet))))
    jsonschema.Draft202012Validator(jsondoc.schema()).validate(made)
    assert made["layers"][0]["job"]["sheet"]["own_mm"] == [210.0, 297.0]
    assert document(a_bad_board())["layers"][0]["job"]["sheet"]["own_mm"] is None


def test_a_finding_of_no_opening_is_as_the_schema_says() -> None:
    openings = table([Slot(4.0, 5.0, 1.0, 1.0)])
    found = [finding(openings, "sheet-fit", -10.0, 0.0, None)]
    made = document(report(layer(openings, [outcome("sheet-fit", found)])))
    jsonschema.Draft202012Validator(jsondoc.schema()).validate(made)
    assert made["layers"][0]["groups"][0]["kind"] == "places"


def test_files_beside_the_layer_are_named() -> None:
    (clean,) = a_clean_board().layers
    copper = BesideFile("land", "copper.gbr", "5e" * 32)
    made = document(report(replace(clean, beside=(copper,))))
    jsonschema.Draft202012Validator(jsondoc.schema()).validate(made)
    assert made["layers"][0]["beside"] == [{"option": "land", "file": "copper.gbr", "sha256": "5e" * 32}]


def test_no_worst_reading_is_null() -> None:
    (clean,) = document(a_clean_board())["layers"]
    assert clean["rules"][1]["worst"] is None


def test_equal_reports_are_equal_bytes_in_ascii() -> None:
    one, other = ("".join(jsondoc.chunks(renamed(a_bad_board(), "\u00dc1"))) for _ in range(2))
    assert one == other
    assert one.isascii()


def test_a_finding_stands_on_a_line_of_its_own() -> None:
    lines = "".join(jsondoc.chunks(many(7))).splitlines()
    assert len([line for line in lines if '"fingerprint"' in line]) == 7


@pytest.mark.parametrize("count", [999, 1000, 1001, 2500])
def test_a_long_report_comes_in_pieces_and_whole(count: int) -> None:
    pieces = list(jsondoc.chunks(many(count)))
    found = json.loads("".join(pieces))["layers"][0]["rules"][0]["findings"]
    assert [one["opening"] for one in found] == list(range(1, count + 1))
    assert max(map(len, pieces)) < 1000 * 400


def test_text_from_the_file_stays_text() -> None:
    hostile = '"}],\n\x00\x1b[31m %s %d {} \u202e\ud800'
    made = document(renamed(a_bad_board(), hostile))
    assert made["layers"][0]["rules"][1]["findings"][1]["label"] == hostile
    assert made["layers"][0]["file"] == hostile


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_number_that_json_cannot_say_is_refused(value: float) -> None:
    (bad,) = a_bad_board().layers
    broken = replace(
        bad.outcomes[2], findings=tuple(one._replace(value=value) for one in bad.outcomes[2].findings)
    )
    with pytest.raises(ValueError, match="not finite"):
        "".join(jsondoc.chunks(report(replace(bad, outcomes=(broken,)))))


def test_float_noise_is_not_written() -> None:
    (bad,) = a_bad_board().layers
    noisy = replace(
        bad.outcomes[2],
        findings=tuple(
            one._replace(value=0.15000000000000002, x_mm=-1e-17) for one in bad.outcomes[2].findings
        ),
    )
    found = document(report(replace(bad, outcomes=(noisy,))))["layers"][0]["rules"][0]["findings"][0]
    assert (found["value"], str(found["at_mm"][0])) == (0.15, "0.0")
