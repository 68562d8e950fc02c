import csv
import io
from dataclasses import replace

import numpy as np
import pytest

from pastecheck.report import LayerReport
from pastecheck.reporters.table import HEADER, chunks
from tests.reports import Slot, a_bad_board, layer, outcome, report, table


def text(*layers: LayerReport) -> str:
    return "".join(chunks(report(*layers)))


def rows(*layers: LayerReport) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text(*layers), newline="")))


def of(slots: list[Slot], file: str = "a.gbr") -> LayerReport:
    return layer(table(slots), [outcome("opening-width")], file=file)


def test_the_header_is_the_one_that_others_rely_on() -> None:
    assert text(of([Slot(0.0, 0.0, 1.0, 1.0)])).splitlines()[0] == (
        "opening,x_mm,y_mm,width_mm,length_mm,area_mm2,perimeter_mm,area_ratio,aspect_ratio,web_mm,label,line"
    )


def test_an_opening_is_a_row() -> None:
    # 0.25 x 1.5 in 75 um: 0.375 mm2, 3.5 mm, 0.375 / (3.5 x 0.075) = 1.42857143, 0.25 / 0.075 = 3.33333333
    (bare, row) = text(of([Slot(1.5, -2.25, 0.25, 1.5, "U1")])).splitlines()
    assert bare == HEADER
    assert row == "1,1.500000,-2.250000,0.25,1.5,0.375,3.5,1.42857143,3.33333333,,U1,12"


def test_a_web_has_its_cell_and_no_web_an_empty_one() -> None:
    one = of([Slot(0.0, 0.0, 1.0, 1.0), Slot(1.2, 0.0, 1.0, 1.0), Slot(9.0, 0.0, 1.0, 1.0)])
    webs = np.array([0.2, 0.2, np.nan])
    assert [row["web_mm"] for row in rows(replace(one, table=replace(one.table, web_mm=webs)))] == [
        "0.2",
        "0.2",
        "",
    ]


def test_openings_of_unlike_outlines_keep_their_own_measures() -> None:
    slots = [Slot(0.0, 0.0, 0.3, 1.0), Slot(1.0, 0.0, 0.2, 1.0), Slot(2.0, 0.0, 0.3, 1.0)]
    assert [row["width_mm"] for row in rows(of(slots))] == ["0.3", "0.2", "0.3"]


def test_no_zero_is_negative() -> None:
    (row,) = rows(of([Slot(-1e-12, -0.0, 0.3, 1.0)]))
    assert (row["x_mm"], row["y_mm"]) == ("0.000000", "0.000000")


def test_lines_end_in_lf_only() -> None:
    assert "\r" not in text(of([Slot(0.0, 0.0, 0.3, 1.0)]))


@pytest.mark.parametrize("label", ['R"1"', "R,1", "R\n1", "R\r\n1", "%s%d", "\u00dc1"])
def test_a_label_comes_back_as_it_was(label: str) -> None:
    assert [row["label"] for row in rows(of([Slot(0.0, 0.0, 0.3, 1.0, label)] * 2))] == [label] * 2


@pytest.mark.parametrize("label", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", '=HYPERLINK("x","y")'])
def test_a_label_that_would_run_as_a_formula_gets_an_apostrophe(label: str) -> None:
    assert [row["label"] for row in rows(of([Slot(0.0, 0.0, 0.3, 1.0, label)]))] == [f"'{label}"]


def test_half_a_character_in_a_label_does_not_stop_the_table() -> None:
    assert text(of([Slot(0.0, 0.0, 0.3, 1.0, "R\ud8001")])).encode("utf-8").endswith(b",R?1,12\n")


def test_several_layers_are_told_apart_by_a_last_column() -> None:
    one, other = (of([Slot(0.0, 0.0, 0.3, 1.0)], file) for file in ("top.gbr", "100%,bottom.gbr"))
    assert [(row["opening"], row["layer"]) for row in rows(one, other)] == [
        ("1", "top.gbr"),
        ("1", "100%,bottom.gbr"),
    ]


@pytest.mark.parametrize("count", [19_999, 20_000, 20_001])
def test_a_long_table_comes_in_pieces_and_whole(count: int) -> None:
    numbers = [row["opening"] for row in rows(of([Slot(0.0, 0.0, 0.3, 1.0)] * count))]
    assert numbers == [str(k + 1) for k in range(count)]


def test_equal_reports_are_equal_tables() -> None:
    assert text(*a_bad_board().layers) == text(*a_bad_board().layers)
