"""What the command says: in words, and as JSON that its schema describes."""

from pathlib import Path
from typing import Any

import jsonschema
import pytest

from pastecheck.trim import jsondoc
from tests.drawn import mm_layer
from tests.trim.conftest import FIXTURES, Trim
from tests.trim.test_worked_table import row

BOARD = FIXTURES / "boards" / "greenhouse-logger-a"
RULES = ("--rules", "polyester-75-knife")
VALIDATOR: Any = jsonschema.Draft202012Validator(jsondoc.schema())


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(jsondoc.schema())


@pytest.mark.parametrize("more", [(), ("--grow",), ("--grow", "--also", "circles", "--also", "large")])
def test_what_is_told_of_the_demo_board_is_as_the_schema_says(trim: Trim, more: tuple[str, ...]) -> None:
    for side in ("top", "bottom"):
        said = trim(str(BOARD / f"greenhouse-logger-paste-{side}.gbr"), *RULES, "--dry-run", *more)
        VALIDATOR.validate(said.document)
        assert said.document["groups"]


def test_words_say_what_became_of_a_row_and_how_much_paste_that_is(trim: Trim) -> None:
    # 10 leads: 0.25 / 0.30 is 83 %; 0.028125 of 0.0450 mm3 is 62.5 %, rounded down
    Path("layer.gbr").write_text(row(0.3, 1.5, 0.5), encoding="utf-8")
    said = trim("layer.gbr", *RULES, "--out", "out.gbr", "--as-paste")
    line = (
        "10 openings, 0.30 x 1.50 mm -> 0.25 x 1.50 mm: paste 0.33750 -> 0.28125 mm3, 83 % (75 % -> 62 % of "
        "what metal foil gives)"
    )
    assert line in " ".join(said.out.split())
    assert "pitch-fraction: 10 warnings -> 0" in said.out
    assert "10 openings, none lost, none merged" in " ".join(said.out.split())


def test_where_nothing_is_to_be_done_it_says_so(trim: Trim) -> None:
    Path("layer.gbr").write_text(mm_layer("%ADD10R,1X2*%", "D10*", "X0Y0D03*"), encoding="utf-8")
    said = trim("layer.gbr", *RULES, "--out", "out.gbr", "--as-paste")
    assert "Nothing was changed: it is as the rule set asks" in said.out


def test_what_is_too_small_is_named_and_what_to_do(trim: Trim) -> None:
    Path("layer.gbr").write_text(mm_layer("%ADD10R,0.1X1*%", "D10*", "X0Y0D03*"), encoding="utf-8")
    said = trim("layer.gbr", *RULES, "--out", "out.gbr", "--as-paste")
    assert (said.status, [group["held"] for group in said.document["groups"]]) == (1, ["growth"])
    assert "add --grow" in said.out


def test_names_that_a_terminal_would_obey_are_escaped(trim: Trim) -> None:
    hostile = r"%TO.C,R1\u001B[31m\u202E*%"
    flashes = [f"X{k * 500000}Y0D03*" for k in range(10)]
    text = mm_layer("%ADD10R,0.3X1.5*%", "D10*", hostile, *flashes)
    name = "la\x1b[31myer.gbr"
    Path(name).write_text(text, encoding="utf-8")
    said = trim(name, *RULES, "--out", "out.gbr", "--as-paste")
    assert said.status == 0
    assert all(line.isprintable() for line in said.out.splitlines())
    assert Path("out.gbr").read_text(encoding="ascii").isprintable() is False  # only for its line ends
    assert all(line.isprintable() for line in Path("out.gbr").read_text(encoding="ascii").splitlines())


def test_many_sizes_are_told_together(trim: Trim) -> None:
    # ten rows of ten, each a little wider: six are told, four together
    lines = []
    for k in range(10):
        flashes = [f"X{i * 500000}Y{k * 5000000}D03*" for i in range(10)]
        lines += [f"%ADD{10 + k}R,{0.3 + k / 500:.3f}X1.5*%", f"D{10 + k}*", *flashes]
    Path("layer.gbr").write_text(mm_layer(*lines), encoding="utf-8")
    said = trim("layer.gbr", *RULES, "--out", "out.gbr", "--as-paste")
    assert len(said.document["groups"]) == 10
    assert "and 40 openings of 4 more sizes: --json FILE tells every one" in said.out


def test_only_the_verdict_is_told_to_who_asks_for_quiet(trim: Trim) -> None:
    Path("layer.gbr").write_text(row(0.3, 1.5, 0.5), encoding="utf-8")
    said = trim("layer.gbr", *RULES, "--out", "out.gbr", "--as-paste", "--quiet")
    assert said.out.splitlines() == ["cut it: out.gbr"]
