"""Which film suits, in sentences: a word for each case."""

from dataclasses import replace
from pathlib import Path

import pytest

from pastecheck.checks import deposit_volume
from pastecheck.films import LayerFilms, held, held_of_nothing
from pastecheck.films.advice import by_cutter, for_all
from pastecheck.films.phrases import end, span
from pastecheck.films.terminal import rendered
from pastecheck.judge import Source
from pastecheck.measurements import Foil
from pastecheck.rulesets import RuleSet
from pastecheck.source import Diagnostic, DiagnosticLevel, Span
from tests.films.test_jsondoc import PANES, SOURCE, made
from tests.films.test_thickness import RATIOS
from tests.judge.slots import Slot, measured, rule, rule_set


def knife(name: str, um: float, width_mm: float = 0.17, warn_mm: float = 0.215) -> RuleSet:
    rules = (*RATIOS, rule("opening-width", error_below=width_mm, warn_below=warn_mm))
    return replace(rule_set(*rules, foil=Foil("film", "polyester", um / 1000)), name=name)


THIN, USUAL, THICK = knife("thin", 50), knife("usual", 75), knife("thick", 125)
FINE = replace(knife("fine", 75, 0.1, 0.15), cutter="laser")


def layer_of(*slots: Slot, sets: tuple[RuleSet, ...]) -> LayerFilms:
    return held(measured(slots), sets, SOURCE)


def said(*slots: Slot, sets: tuple[RuleSet, ...]) -> dict[str, str]:
    layer = layer_of(*slots, sets=sets)
    return dict(by_cutter(layer, made(layer, rule_sets=sets).rule_sets))


LARGE = Slot(0, 0, 0.5, 0.65, "C1")


@pytest.mark.parametrize(
    ("slot", "sets", "expected"),
    [
        pytest.param(LARGE, (USUAL, THICK), "usual and thick would do", id="all would do"),
        pytest.param(
            LARGE,
            (THIN, USUAL),
            "usual would do; thin would print too little paste (63 um at least)",
            id="one is too thin",
        ),
        pytest.param(
            Slot(0, 0, 0.2, 1.5, "U1"),
            (USUAL,),
            "usual would do with care; none does without: opening width 0.200 mm is below 0.215 mm (at U1)",
            id="one with care",
        ),
        pytest.param(
            # 0.2 x 1.5: 0.3 / 3.4 over 125 um is 0.706, and fails the width of the thick one's warning only
            Slot(0, 0, 0.2, 1.5, "U1"),
            (USUAL, knife("narrow", 75, 0.1, 0.15)),
            "narrow would do; usual with care",
            id="one, and another with care",
        ),
        pytest.param(
            # 0.1 / 1.3 over 125 um is 0.615: below 0.66, not below 0.60
            Slot(0, 0, 0.25, 0.40, "R1"),
            (THICK,),
            "thick would do with care; none does without: area ratio 0.62 is below 0.66 (at R1)",
            id="a 0201 in thick film",
        ),
        pytest.param(
            # 0.22 x 0.34: 0.0748 / 1.12 is 0.0668, over 125 um 0.534; and 111.3 um at 0.60, 101.2 at 0.66
            Slot(0, 0, 0.22, 0.34, "R1"),
            (THICK,),
            "none would do: not for R1: area ratio 0.53 is below 0.60 (at R1); "
            "film of 63 to 111 um (with ease to 101 um) would release, and feed the parts",
            id="only too thick",
        ),
        pytest.param(
            Slot(0, 0, 0.1, 1.5),
            (USUAL, THICK),
            "none would do: usual comes nearest, but for 1 error: "
            "opening width 0.100 mm is below 0.170 mm (at (0.00, 0.00))",
            id="too narrow, and no name",
        ),
        pytest.param(
            LARGE,
            (THIN,),
            "thin would print too little paste (63 um at least)",
            id="nothing but too thin",
        ),
    ],
)
def test_what_is_said_of_one_cutter(slot: Slot, sets: tuple[RuleSet, ...], expected: str) -> None:
    assert said(slot, sets=sets) == {"drag knife": expected}


def test_each_cutter_has_its_sentence() -> None:
    found = said(Slot(0, 0, 0.16, 1.5, "U1"), sets=(USUAL, FINE, replace(FINE, name="mine", cutter="")))
    assert list(found) == ["drag knife", "laser", "cutter not said"]
    assert found["drag knife"].startswith("none would do: not for U1: ")
    assert (found["laser"], found["cutter not said"]) == ("fine would do", "mine would do")


def test_a_warning_about_the_file_asks_for_care_and_says_so() -> None:
    warning = Diagnostic("odd", DiagnosticLevel.WARNING, "odd", Span("p.gbr"))
    layer = held(measured([LARGE]), [USUAL], SOURCE, (warning,))
    (text,) = by_cutter(layer, made(layer, rule_sets=(USUAL,)).rule_sets).values()
    assert text == "usual would do with care; none does without: the file itself has warnings"


def test_where_there_is_no_range_the_openings_that_stand_against_each_other_are_named() -> None:
    # 0.08 wide releases up to 61.5 um; the other is fed from 62.5 um on
    layer = layer_of(Slot(0, 0, 0.08, 2.0, "J2"), Slot(9, 0, 0.5, 0.65, "C1"), sets=(USUAL,))
    (thickness,) = layer.thickness
    assert span(thickness) == "none: at most 61 um would release, at least 63 um feed"
    assert thickness.thickest is not None
    assert thickness.thinnest is not None
    assert (
        end(thickness.thickest, "aspect ratio") == "aspect ratio 1.30: 0.08 x 2.00 mm of J2 at (0.00, 0.00)"
    )
    assert end(thickness.thinnest, "deposit volume") == (
        "50 % of the paste of 125 um through the opening as drawn: "
        "0.08 x 2.00 mm of J2 at (0.00, 0.00) and 1 more"
    )


@pytest.mark.parametrize(
    ("sets", "expected"),
    [
        ((rule_set(*RATIOS),), "63 to 128 um (with ease to 116 um)"),
        ((rule_set(rule("area-ratio", error_below=0.60)),), "63 to 128 um"),
        ((rule_set(rule("opening-width", error_below=0.2)),), "63 um at least"),
        # 100 / 1.3 over 1.21 is 63.6: one foil; over 1.1 it is 69.9, over 1.3 less than 63
        ((rule_set(rule("area-ratio", error_below=1.21)),), "63 um"),
        ((rule_set(rule("area-ratio", error_below=1.1, warn_below=1.3)),), "63 to 69 um (none with ease)"),
    ],
)
def test_ranges_in_words(sets: tuple[RuleSet, ...], expected: str) -> None:
    (thickness,) = layer_of(Slot(0, 0, 0.25, 0.40), sets=sets).thickness
    assert span(thickness) == expected


def test_where_the_paste_never_comes_out_no_foil_feeds() -> None:
    none = deposit_volume.Params(transfer_efficiency=((0.5, 0.0),))
    sets = (rule_set(*RATIOS, replace(rule("deposit-volume"), params=none)),)
    layer = layer_of(LARGE, sets=sets)
    assert span(layer.thickness[0]) == "none: no foil would feed the parts"
    assert "too thin: no foil would feed every part" in rendered(made(layer, rule_sets=sets))


def test_where_nothing_releases_that_is_said() -> None:
    # panes of 0.9 release up to 0.9 mm / 4 / 500, which is 0.45 um: no whole one
    (thickness,) = layer_of(*PANES, sets=(rule_set(rule("area-ratio", error_below=500.0)),)).thickness
    assert span(thickness) == "none: no foil would release"


def test_of_two_ends_that_round_to_one_the_one_is_told() -> None:
    # 76.92 um over 0.600 and 0.601 are 128.2 and 127.99; over 0.6005 it is 128.1
    (thickness,) = layer_of(
        Slot(0, 0, 0.25, 0.40), sets=(rule_set(rule("area-ratio", error_below=0.6, warn_below=0.6005)),)
    ).thickness
    assert span(thickness) == "63 to 128 um"


def test_ranges_of_panes_have_one_end() -> None:
    (thickness,) = layer_of(*PANES, sets=(rule_set(*RATIOS),)).thickness
    assert span(thickness) == "375 um at most (with ease to 340 um)"  # 0.9 / (4 x 0.60) and 0.66
    (free,) = layer_of(*PANES, sets=(rule_set(rule("opening-width", error_below=0.2)),)).thickness
    assert span(free) == "any"


def test_a_film_for_all_layers_is_one_that_does_for_each() -> None:
    sets = (THIN, USUAL, THICK)
    large, small = layer_of(LARGE, sets=sets), layer_of(Slot(0, 0, 0.2, 0.4), sets=sets)
    assert for_all(made(large, rule_sets=sets)) == ""
    assert for_all(made(large, large, rule_sets=sets)) == "usual and thick would do"
    assert for_all(made(large, small, rule_sets=sets)) == "usual would do with care"
    narrow = layer_of(Slot(0, 0, 0.1, 0.4), sets=sets)
    assert for_all(made(large, narrow, rule_sets=sets)) == "no film of these would do for every layer"


def test_a_layer_without_openings_is_said_to_hold_nothing() -> None:
    nothing = held_of_nothing(Source("b.gbr", "0" * 64, "bottom"), ())
    films = made(layer_of(LARGE, sets=(USUAL,)), nothing, rule_sets=(USUAL,))
    assert (
        "b.gbr\n  0 openings, 0.0 mm2 in all; no narrow web; bottom side\n\n  nothing to cut\n"
        in rendered(films)
    )
    assert for_all(films) == ""


def test_text_of_a_file_is_made_harmless() -> None:
    hostile = "U1\x1b[2J\u202e[red]"
    sets = (replace(USUAL, name="na\x1bme"), replace(THICK, cutter="la\x1bser"))
    layer = layer_of(Slot(0, 0, 0.1, 0.3, hostile), sets=sets)
    for quiet in (False, True):
        text = rendered(made(replace(layer, file="p\x1b.gbr"), rule_sets=sets), quiet=quiet)
        assert all(letter.isprintable() or letter == "\n" for letter in text)
        assert "U1\\x1b[2J\\u202e[red]" in " ".join(text.split())


@pytest.mark.parametrize("width", [40, 60, 80, 100, 120])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    sets = (replace(USUAL, name="a-very-long-name-of-a-rule-set-of-mine"), THIN, THICK, FINE)
    layer = layer_of(Slot(0, 0, 0.2, 0.3, "U1"), Slot(5, 5, 0.1, 0.9), sets=sets)
    text = rendered(made(layer, rule_sets=sets), width=width)
    assert max(map(len, text.splitlines())) <= width


def test_on_a_narrow_terminal_no_figure_is_lost() -> None:
    layer = layer_of(Slot(0, 0, 0.2, 0.3, "U1"), sets=(THICK,))
    text = " ".join(rendered(made(layer, rule_sets=(THICK,)), width=40).split())
    # 0.06 over 125 um is 0.48; half of 125 um is fed: 1 error of the area ratio, 1 warning of the width
    assert "thick do not 1 1 0.48 100 %" in text


GOLDEN = Path(__file__).parent / "golden"


@pytest.mark.parametrize(("name", "width", "colour"), [("all-80", 80, False), ("all-100-colour", 100, True)])
def test_the_answer_reads_as_it_was_read_and_found_good(
    name: str, width: int, *, colour: bool, update_golden: bool
) -> None:
    sets = (THIN, USUAL, THICK, FINE, replace(FINE.with_thickness(0.1), name="fine-100"))
    top = [*(Slot(0.5 * k, 0, 0.25, 1.5, "U1") for k in range(12)), Slot(9, 0, 0.25, 0.40, "R1")]
    bottom = [LARGE, Slot(3, 0, 0.2, 0.9, "J1"), *(slot._replace(y_mm=slot.y_mm + 5) for slot in PANES)]
    note = Diagnostic("legacy", DiagnosticLevel.NOTE, "G54 is deprecated", Span("bottom.gbr", 7))
    layers = [
        held(measured(slots), sets, Source(f"{side}.gbr", "0" * 64, side), said)
        for side, slots, said in (("top", top, ()), ("bottom", bottom, (note,)))
    ]
    text = rendered(made(*layers, rule_sets=sets), width=width, colour=colour)
    path = GOLDEN / f"{name}.txt"
    if update_golden:
        path.write_text(text, encoding="utf-8")
    assert text == path.read_text(encoding="utf-8")
