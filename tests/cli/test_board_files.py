"""Copper, mask and outline on the command line: what is taken, matched, refused and told."""

import json
import zipfile
from pathlib import Path

import pytest

from pastecheck import board_files, lands
from pastecheck.source import Documented
from tests.cli import layers
from tests.cli.conftest import Run

INVALID = Path(__file__).resolve().parents[2] / "fixtures" / "invalid" / "board"
ERRORS: dict[str, Documented] = board_files.ERRORS | lands.ERRORS
DIAGNOSTICS: dict[str, Documented] = board_files.DIAGNOSTICS | lands.DIAGNOSTICS
WARNINGS = {"few-on-lands"}

PAD = ("D10*", "X0Y0D03*", "X3000000D03*")
PASTE = layers.layer(*PAD)
LAND = layers.layer(*PAD, function="Copper,L1,Top")
MASK = layers.layer("%ADD13R,0.8X1.4*%", "D13*", *PAD[1:], function="Soldermask,Top")
BOTTOM = layers.layer(*PAD, "X6000000D03*", function="Paste,Bot")
LAND_BOTTOM = layers.layer(*PAD, "X6000000D03*", function="Copper,L2,Bot")
RULES = ("--rules", layers.RULES)


@pytest.fixture
def files(run: Run) -> Run:
    """Layers of one board in the current folder; and what runs commands there."""
    for name, content in (
        ("paste.gbr", PASTE),
        ("land.gbr", LAND),
        ("mask.gbr", MASK),
        ("bottom.gbr", BOTTOM),
        ("land-bottom.gbr", LAND_BOTTOM),
    ):
        Path(name).write_bytes(content)
    return run


def named_in(folder: Path) -> list[str]:
    """A command line that names the files of a fixture."""
    options = [
        word
        for option in ("land", "mask", "outline")
        if (folder / f"{option}.gbr").exists()
        for word in (f"--{option}", str(folder / f"{option}.gbr"))
    ]
    return ["check", str(folder / "paste.gbr"), *options, *RULES, "--fail-on", "never"]


def test_every_code_has_a_fixture() -> None:
    assert {folder.name for folder in INVALID.iterdir()} == ERRORS.keys() | DIAGNOSTICS.keys()


@pytest.mark.parametrize("code", ERRORS)
def test_what_cannot_be_right_is_refused(run: Run, code: str) -> None:
    said = run(*named_in(INVALID / code))
    assert (said.status, said.out) == (2, "")
    assert f" error[{code}]: " in said.err
    assert said.err.count("\n") == 1


@pytest.mark.parametrize("code", DIAGNOSTICS)
def test_what_may_be_right_is_told(run: Run, code: str) -> None:
    said = run(*named_in(INVALID / code), "--json", "-")
    assert said.status == 0
    (layer,) = json.loads(said.out)["layers"]
    (told,) = [one for one in layer["diagnostics"] if one["code"] == code]
    assert told["level"] == ("warning" if code in WARNINGS else "note")


# ------------------------------------------------------------------------------------------------- taken


def test_lands_are_judged_where_copper_and_mask_are_named(files: Run) -> None:
    said = files("check", "paste.gbr", "--land", "land.gbr", "--mask", "mask.gbr", *RULES, "--json", "-")
    (layer,) = json.loads(said.out)["layers"]
    rules = {one["check"]: one for one in layer["rules"]}
    assert rules["land-coverage"]["measured"] == 2
    assert rules["land-coverage"]["worst"] == 1.0


def test_without_copper_nothing_about_lands_is_measured(files: Run) -> None:
    said = files("check", "paste.gbr", *RULES, "--json", "-")
    (layer,) = json.loads(said.out)["layers"]
    rules = {one["check"]: one for one in layer["rules"]}
    assert (rules["land-coverage"]["measured"], rules["land-coverage"]["worst"]) == (0, None)


def test_a_file_in_an_archive_can_be_named(files: Run) -> None:
    with zipfile.ZipFile("board.zip", "w") as archive:
        archive.write("land.gbr")
        archive.write("mask.gbr")
    named = ("--land", "board.zip/land.gbr", "--mask", "board.zip/mask.gbr")
    assert files("check", "paste.gbr", *named, *RULES).status == 0
    said = files("check", "paste.gbr", "--land", "board.zip/copper.gbr", *RULES)
    assert said.err.startswith("board.zip/copper.gbr: error[no-file]: the archive holds no such file (")


def test_the_negative_image_of_a_mask_is_read_as_drawn(files: Run) -> None:
    Path("mask.gbr").write_bytes(MASK.replace(b"%MOMM*%", b"%MOMM*%\n%IPNEG*%"))
    assert files("check", "paste.gbr", "--land", "land.gbr", "--mask", "mask.gbr", *RULES).status == 0


def test_a_file_that_says_nothing_of_itself_is_taken_as_it_was_named(files: Run) -> None:
    Path("any.gbr").write_bytes(layers.layer(*PAD, "D11*", "X9000000Y0D03*", function=""))
    said = files("check", "paste.gbr", "--land", "any.gbr", "--mask", "mask.gbr", *RULES, "--json", "-")
    (layer,) = json.loads(said.out)["layers"]
    assert [one["code"] for one in layer["diagnostics"]] == ["layer-as-named"]


# ------------------------------------------------------------------------------------------------ matched


def test_files_are_matched_by_their_side_in_any_order(files: Run) -> None:
    lands_of_both = ("--land", "land-bottom.gbr", "--land", "land.gbr")
    said = files("check", "paste.gbr", "bottom.gbr", *lands_of_both, *RULES, "--json", "-")
    both = json.loads(said.out)["layers"]
    counts = [
        next(one["measured"] for one in layer["rules"] if one["check"] == "land-coverage") for layer in both
    ]
    assert counts == [2, 3]


def test_a_layer_whose_side_has_no_copper_is_judged_without(files: Run) -> None:
    said = files("check", "paste.gbr", "bottom.gbr", "--land", "land.gbr", *RULES, "--json", "-")
    assert said.status == 0


def test_a_file_of_no_known_side_belongs_to_the_layer_that_is_left(files: Run) -> None:
    Path("any.gbr").write_bytes(layers.layer(*PAD, "X6000000D03*", function=""))
    named = ("--land", "land.gbr", "--land", "any.gbr")
    assert files("check", "paste.gbr", "bottom.gbr", *named, *RULES).status == 0


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("paste.gbr", "--land", "land.gbr", "--land", "land.gbr"), "two files are named by --land"),
        (("paste.gbr", "--mask", "mask.gbr"), "a mask is named for 'paste.gbr', and no copper"),
        (("paste.gbr", "bottom.gbr", "--land", "any.gbr"), "to which paste layer 'any.gbr' belongs"),
        (("paste.gbr", "--land", ""), "the name after --land is empty"),
    ],
)
def test_what_cannot_be_matched_is_a_usage_error(files: Run, arguments: tuple[str, ...], says: str) -> None:
    Path("any.gbr").write_bytes(layers.layer(*PAD, "D11*", "X9000000Y0D03*", function=""))
    said = files("check", *arguments, *RULES)
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("pastecheck: error[usage]: ")
    assert says in said.err


# ------------------------------------------------------------------------------------------------ refused


@pytest.mark.parametrize(
    ("option", "content", "says"),
    [
        ("land", PASTE, "the file says that it is paste, and --land takes copper"),
        (
            "land",
            layers.layer(*PAD, function="Copper,L2,Inr"),
            "the file says that it is inner 'Copper,L2,Inr'",
        ),
        ("mask", LAND, "the file says that it is 'Copper,L1,Top', and --mask takes solder mask"),
        ("outline", LAND, "the file says that it is 'Copper,L1,Top', and --outline takes outline"),
    ],
)
def test_plainly_another_layer_is_refused_at_its_line(
    files: Run, option: str, content: bytes, says: str
) -> None:
    Path("other.gbr").write_bytes(content)
    said = files("check", "paste.gbr", f"--{option}", "other.gbr", *RULES)
    assert said.status == 2
    assert said.err.startswith(f"other.gbr:1:4: error[wrong-layer]: {says}")


@pytest.mark.parametrize("name", ["board.gts", "board-F_Mask.gbr", "board.g2"])
def test_a_name_that_says_another_layer_is_refused(files: Run, name: str) -> None:
    Path(name).write_bytes(layers.layer(*PAD, "D11*", "X9000000Y0D03*", function=""))
    said = files("check", "paste.gbr", "--land", name, *RULES)
    assert said.err.startswith(f"{name}: error[wrong-layer]: ")


def test_a_mask_that_is_drawn_like_copper_is_refused(files: Run) -> None:
    tracks = [f"X{k}000000Y0D02*\nX{k}500000Y5000000D01*" for k in range(8)]
    pads = [f"X{k}000000Y0D03*" for k in range(8)]
    drawn = ("%ADD13C,0.2*%", "D10*", *pads, "D13*", *tracks)
    Path("any.gbr").write_bytes(layers.layer(*drawn, function=""))
    said = files("check", "paste.gbr", "--land", "land.gbr", "--mask", "any.gbr", *RULES)
    assert said.err.startswith("any.gbr: error[wrong-layer]: it is drawn like copper: tracks lead from 8 of")


def test_the_paste_layer_itself_is_no_copper(files: Run) -> None:
    nameless = layers.layer(*PAD, function="")
    Path("a.gbr").write_bytes(nameless)
    Path("b.gbr").write_bytes(nameless)
    said = files("check", "a.gbr", "--land", "b.gbr", *RULES)
    assert said.err.startswith("b.gbr: error[wrong-layer]: this is the paste layer itself (")


@pytest.mark.parametrize("name", ["there-is-none.gbr", "."])
def test_what_is_no_file_is_refused(files: Run, name: str) -> None:
    said = files("check", "paste.gbr", "--land", name, *RULES)
    assert (said.status, said.out) == (2, "")
    assert " error[" in said.err


def test_an_outline_elsewhere_is_refused(files: Run) -> None:
    path = ("X90000000Y0D02*", "X99000000D01*", "Y9000000D01*", "X90000000D01*", "Y0D01*")
    Path("edge.gbr").write_bytes(layers.layer("%ADD13C,0.1*%", "D13*", *path, function="Profile,NP"))
    said = files("check", "paste.gbr", "--outline", "edge.gbr", *RULES)
    assert said.err.startswith("edge.gbr: error[elsewhere]: no opening lies inside the outline (")


def test_an_outline_with_few_openings_inside_is_refused(files: Run) -> None:
    # bottom.gbr has openings at 0, 3 and 6 mm; the frame reaches from -1 to 1 mm
    path = ("X-1000000Y-1000000D02*", "X1000000D01*", "Y1000000D01*", "X-1000000D01*", "Y-1000000D01*")
    Path("edge.gbr").write_bytes(layers.layer("%ADD13C,0.1*%", "D13*", *path, function="Profile,NP"))
    said = files("check", "bottom.gbr", "--outline", "edge.gbr", *RULES)
    assert said.err.startswith("edge.gbr: error[elsewhere]: only 1 of 3 openings lie inside the outline (")


def test_copper_under_few_openings_is_refused(files: Run) -> None:
    # of the openings at 0, 3 and 6 mm only the last lies on a pad, and two share no way to others
    Path("far.gbr").write_bytes(
        layers.layer("D10*", "X6000000Y0D03*", "X9500000D03*", function="Copper,L2,Bot")
    )
    said = files("check", "bottom.gbr", "--land", "far.gbr", *RULES)
    assert said.err.startswith("far.gbr: error[elsewhere]: only 1 of 3 openings lie on a land (")


@pytest.mark.parametrize("option", ["land", "mask", "outline"])
def test_reports_do_not_overwrite_what_is_read(files: Run, option: str) -> None:
    said = files("check", "paste.gbr", f"--{option}", "land.gbr", *RULES, "--json", "land.gbr")
    assert said.status == 2
    assert "'land.gbr' is read, and would be overwritten" in said.err
    assert Path("land.gbr").read_bytes() == LAND
