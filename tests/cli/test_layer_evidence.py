"""Which layer a file is: its attribute first, then what else it says of itself, then its name."""

import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import layers as subject
from pastecheck.errors import InputError
from pastecheck.layer_evidence import Source, evidence_of
from pastecheck.source import DiagnosticLevel
from tests.cli import layers
from tests.cli.conftest import Run


@pytest.mark.parametrize(
    ("says", "kind", "side"),
    [
        ("%INSolderpaste Top*%", "paste", "top"),
        ("%INBottomPaste.gbr*%", "paste", "bottom"),
        ("%INboard.GTP*%", "paste", "top"),
        (r"%INC:\boards\pump-F_Paste.gbr*%", "paste", "top"),
        ("%LNTopPaste*%", "paste", "top"),
        ("%LNPASTEMASK0*%", "paste", "unknown"),
        ("%INTop Copper*%", "copper", "top"),
        ("%INBottom Solder Mask*%", "solder mask", "bottom"),
        ("%LNCONTOUR*%", "outline", "unknown"),
        ("%LNTop Paste*%\n%LNBottom Paste*%", "paste", "unknown"),
        ("%INTop Copper*%\n%LNTop Solder Mask*%", "copper", "top"),  # no paste, whichever it is
        ("G04 Layer: TopPaste*\nG04 Layer: Top Assembly*", "paste", "top"),  # drawn beside it
        ("G04 Layer: BottomPasteMaskLayer*", "paste", "bottom"),
        ("G04 Layer Name:  PIN/PASTEMASK_TOP*\nG04 Layer Name:  BOARD/OUTLINE*", "paste", "top"),
        ("G04 title: greenhouse logger, toppaste*", "paste", "top"),
        ("G04 TopPaste *", "paste", "top"),
        ("G4 bottom copper*", "copper", "bottom"),
        ("%TA.AperFunction,Conductor*%", "copper", "unknown"),
        ("G04 #@! TA.AperFunction,ViaPad*", "copper", "unknown"),
        ("%TA.AperFunction,ComponentDrill*%", "drill", "unknown"),
        ("%TA.AperFunction,Profile*%", "outline", "unknown"),
        ("%TO.N,GND*%", "copper", "unknown"),
        ("%TF.FileFunction,Paste*%\n%INTop Copper*%", "paste", "unknown"),
        ("G04 #@! TF.FileFunction,Paste,Bot*", "paste", "bottom"),
        ("G04 #@! %TF.FileFunction,Soldermask,Bot*%*", "'Soldermask,Bot'", "bottom"),
    ],
)
def test_a_file_says_kind_and_side(says: str, kind: str, side: str) -> None:
    assert evidence_of(says.encode(), "board.gbr")[:2] == (kind, side)


@pytest.mark.parametrize(
    "says",
    [
        "%INpaste pump*%",  # the name of a board: nothing that ends with a layer
        "%INcopper counter rev. b*%",
        "%IN*%",
        "G04 HOLES PLATED*",  # prose: it has words that tell no layer
        "G04 Contour on center of contour vector*",
        "G04 stir the paste*",
        "G04 Created by the paste exporter of board.gtp*",
        "G04 Layer_Color=128*",
        "G04 Layer: PADS*\nG04 Layer: OUTLINE*",  # an outline beside something else
        "%TA.AperFunction,Profile*%\n%TA.AperFunction,Material*%",
        "%TA.AperFunction,SMDPad,CuDef*%",
        "%TO.N,*%",
        "%LN" + "x" * 500 + " paste*%",
    ],
)
def test_what_is_no_title_of_one_layer_says_nothing(says: str) -> None:
    assert evidence_of(says.encode(), "board.gbr").source is Source.NOTHING


def test_words_of_a_board_in_a_name_give_way_to_a_title() -> None:
    found = evidence_of(b"%INSolderpaste Top*%", "copper-counter-v2-final.gbr")
    assert (found.kind, found.reason) == ("paste", "the image name 'Solderpaste Top'")


def test_the_side_is_unknown_where_title_and_name_differ() -> None:
    assert evidence_of(b"%INTop Paste*%", "board.gbp")[:2] == ("paste", "unknown")


@pytest.mark.parametrize(
    ("title", "name"), [("Top Copper", "board-paste-top.gbr"), ("Solderpaste Top", "board.gtl")]
)
def test_a_title_and_a_name_that_contradict_each_other_are_refused(run: Run, title: str, name: str) -> None:
    Path(name).write_bytes(layers.NAMELESS + f"%IN{title}*%".encode())
    said = run("check", name, "--rules", layers.RULES)
    assert said.status == 2
    assert f"{name}: error[not-paste]: it is not clear whether this is a paste layer: the image" in said.err
    assert run("check", name, "--rules", layers.RULES, "--as-paste").status == 0


@pytest.mark.parametrize(
    ("name", "title", "code", "reason"),
    [
        ("any.gbr", "%INSolderpaste Top*%", "paste-by-content", "by the image name 'Solderpaste Top'"),
        ("any.gbr", "G04 Layer: TopPaste*", "paste-by-content", "by the comment 'Layer: TopPaste'"),
        ("board.gtp", "", "paste-by-name", "by the extension .gtp in its name"),
        ("paste.gbr", "", "paste-by-name", "by the word 'paste' in its name"),
        ("any.gbr", "", "paste-as-named", "as it was named"),
    ],
)
@pytest.mark.parametrize("where", ["named", "folder"])
def test_what_a_layer_was_taken_for_paste_by_is_told(
    run: Run, name: str, title: str, code: str, reason: str, where: str
) -> None:
    Path("board").mkdir()
    Path("board", name).write_bytes(title.encode() + layers.NAMELESS)
    if where == "folder" and code == "paste-as-named":
        Path("board", "top.gtp").write_bytes(layers.GOOD)
        code, reason = "untold-layer", "neither name nor beginning tells which layer it is: 'any.gbr'"
    (found,) = subject.layers_of([f"board/{name}" if where == "named" else "board"])
    (said,) = found.diagnostics
    assert said.code == code
    assert reason in said.text


@pytest.mark.parametrize(
    ("says", "who"),
    [
        (
            "G04 Layer: TopPaste*\n%INTop Copper*%",
            "the comment 'Layer: TopPaste' says paste, but the image name 'Top Copper' says copper",
        ),
        (
            "%LNTop Copper*%\n%LNTop Paste*%",
            "the layer name 'Top Copper' says copper, but the layer name 'Top Paste' says paste",
        ),
        (
            "%INTop Paste*%\n%TO.N,GND*%",
            "the net attribute .N says copper, but the image name 'Top Paste' says paste",
        ),
    ],
)
def test_paste_among_other_titles_is_a_contradiction_whatever_the_name_says(says: str, who: str) -> None:
    for name in ("board.gbr", "board.gtp", "paste-pump.gbr"):
        found = evidence_of(says.encode(), name)
        assert (found.kind, found.contradiction) == ("", who)


@pytest.mark.parametrize(
    "titles", ["%INTop Copper*%%LNTop Solder Mask*%", "G04 Layer: Top Copper*\n%INTop Solder Mask*%"]
)
@pytest.mark.parametrize("name", ["board.gbr", "t1_F_Paste.gbr"])
def test_titles_of_several_other_layers_make_no_paste(run: Run, titles: str, name: str) -> None:
    Path(name).write_bytes(titles.encode() + layers.NAMELESS)
    said = run("check", name, "--rules", layers.RULES)
    assert said.status == 2
    assert said.err.startswith(f"{name}: error[not-paste]: ")


FUNCTION = "the attribute .FileFunction says"


@pytest.mark.parametrize(
    ("name", "says", "who"),
    [
        ("board-F_Cu.gbr", "", "paste, but the word 'cu' in its name says copper"),
        ("board.GTS", "", "paste, but the extension .gts in its name says solder mask"),
        ("any.gbr", "%INTop Copper*%", "paste, but the image name 'Top Copper' says copper"),
        ("any.gbr", "%TO.N,GND*%", "paste, but the net attribute .N says copper"),
        (
            "any.gbr",
            "%TA.AperFunction,Conductor*%",
            "paste, but the aperture attribute 'Conductor' says copper",
        ),
        ("B_Paste.gbr", "", "the top side, but the word 'paste' in its name goes with the bottom side"),
        ("board.gbp", "", "the top side, but the extension .gbp in its name goes with the bottom side"),
        (
            "any.gbr",
            "%LNBottomPaste*%",
            "the top side, but the layer name 'BottomPaste' goes with the bottom side",
        ),
    ],
)
@pytest.mark.parametrize("where", ["named", "folder"])
def test_what_speaks_against_the_attribute_asks_for_care(
    run: Run, name: str, says: str, who: str, where: str
) -> None:
    Path("board").mkdir()
    path = f"board/{name}"
    Path(path).write_bytes(says.encode() + layers.GOOD)
    argument = path if where == "named" else "board"
    (found,) = subject.layers_of([argument])
    (said,) = found.diagnostics
    assert (said.code, said.level) == ("doubtful-paste", DiagnosticLevel.WARNING)
    assert said.text.startswith(f"{FUNCTION} {who}; check that it is the right layer and side")
    assert found.side == "top"
    assert run("check", argument, "--rules", layers.RULES, "--fail-on", "warning").status == 1
    assert run("check", path, "--rules", layers.RULES, "--fail-on", "warning", "--as-paste").status == 0


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("board-F_Paste.gbr", "%INTop Paste*%"),
        ("board.gtp", "%INboard-F_Cu-pads.gbr*%"),  # a title that does not end with a layer
        ("copper-counter-v2-final.gbr", "%INboard*%"),  # the name of a board
        ("bottom-heater-paste.gbr", ""),
        ("any.gbr", "%TA.AperFunction,Profile*%"),  # the board's outline, drawn beside the paste
        ("any.gbr", "G04 Layer: OUTLINE*"),
        ("any.gbr", "%TO.N,*%"),
    ],
)
def test_nothing_is_told_of_what_agrees_with_the_attribute_or_says_nothing(name: str, says: str) -> None:
    assert not evidence_of(layers.GOOD + says.encode(), name).contradiction


def test_a_file_called_paste_that_says_it_is_copper_is_told_where_it_was_left_out(run: Run) -> None:
    Path("board").mkdir()
    Path("board/F_Paste.gbr").write_bytes(layers.COPPER)
    Path("board/B_Paste.gbr").write_bytes(layers.layer("D10*", "X0Y0D03*", function="Paste,Bot"))
    (found,) = subject.layers_of(["board"])
    (said,) = found.diagnostics
    assert (said.code, said.level) == ("unsure-layer", DiagnosticLevel.WARNING)
    assert f"'F_Paste.gbr' ({FUNCTION} 'Copper,L1,Top', but the word 'paste' in its name" in said.text
    assert run("check", "board/F_Paste.gbr", "--rules", layers.RULES).err.startswith(
        "board/F_Paste.gbr:1:4: error[not-paste]: the file says that it is 'Copper,L1,Top', not a paste layer"
    )


FAR = b"".join(b"%%ADD%dC,1*%%\n" % number for number in range(20, 8000))
"""Statements that draw nothing: 110 KB, more than is looked at of a file in a folder."""


def _late(function: str) -> bytes:
    return layers.NAMELESS.replace(b"D10*", FAR + f"%TF.FileFunction,{function}*%\nD10*".encode())


@pytest.mark.parametrize("name", ["neutral.gbr", "F_Paste.gbr", "board.gtp"])
def test_the_attribute_counts_wherever_it_stands(run: Run, name: str) -> None:
    Path(name).write_bytes(_late("Soldermask,Top"))
    said = run("check", name, "--rules", layers.RULES)
    assert (said.status, said.out) == (2, "")
    # 7,980 apertures and 5 lines of the head stand before it
    assert said.err.startswith(f"{name}:7986:4: error[not-paste]: the file says that it is 'Soldermask,Top'")
    Path(name).write_bytes(_late("Paste,Bot"))
    (found,) = subject.layers_of([name])
    assert (found.source, found.side) == (Source.FUNCTION, "bottom")


def test_a_file_of_a_folder_that_says_late_what_it_is_is_left_out_and_told(run: Run) -> None:
    Path("board").mkdir()
    Path("board/F_Paste.gbr").write_bytes(_late("Soldermask,Top"))
    with pytest.raises(InputError) as error:
        subject.layers_of(["board"])
    assert error.value.code == "no-paste-layer"
    assert f"found 'F_Paste.gbr' ({FUNCTION} 'Soldermask,Top', but the word 'paste'" in error.value.hint
    Path("board/B_Paste.gbr").write_bytes(layers.GOOD.replace(b"Paste,Top", b"Paste,Bot"))
    (found,) = subject.layers_of(["board"])
    assert [said.code for said in found.diagnostics] == ["unsure-layer"]


def test_paste_behind_the_end_of_copper_is_no_paste(run: Run) -> None:
    Path("any.gbr").write_bytes(layers.COPPER + layers.GOOD)
    said = run("check", "any.gbr", "--rules", layers.RULES)
    assert said.status == 2
    assert said.err.startswith("any.gbr:1:4: error[not-paste]: the file says that it is 'Copper,L1,Top'")


@pytest.mark.parametrize("order", [1, -1])
@pytest.mark.parametrize("how", [(), ("--as-paste",)])
def test_a_file_that_says_it_is_paste_and_copper_is_refused(
    run: Run, order: int, how: tuple[str, ...]
) -> None:
    said = b"\n".join([b"%TF.FileFunction,Paste,Top*%", b"%TF.FileFunction,Copper,L1,Top*%"][::order])
    Path("any.gbr").write_bytes(said + layers.NAMELESS)
    error = run("check", "any.gbr", "--rules", layers.RULES, *how)
    assert error.status == 2
    assert error.err.startswith("any.gbr:2:2: error[contradiction]: the file says that it is '")


def test_prose_in_a_comment_is_no_attribute(run: Run) -> None:
    Path("any.gbr").write_bytes(
        b"G04 exported from board with %TF.FileFunction,Paste,Top*\n" + layers.NAMELESS
    )
    (found,) = subject.layers_of(["any.gbr"])
    assert [said.code for said in found.diagnostics] == ["paste-as-named"]


@given(st.binary(max_size=300), st.text(max_size=20))
def test_any_bytes_are_some_evidence_or_none(content: bytes, name: str) -> None:
    for head in (
        content,
        b"%IN" + content + b"*%",
        b"G04 Layer:" + content + b"*",
        b"TA.AperFunction," + content,
    ):
        assert isinstance(evidence_of(head, name).kind, str)


@pytest.mark.parametrize("text", ["\n", "\r", "%\n", "* ", "%IN", "G04 Layer: ", "mask", "TA "])
def test_no_text_keeps_a_reader_waiting(run: Run, text: str) -> None:
    repeated = (text * 65_536)[:65_536]
    Path("board").mkdir()
    Path("board/any.gbr").write_text(repeated, encoding="ascii", newline="")
    Path("board/any.txt").write_text(repeated, encoding="ascii", newline="")
    Path("board/top.gtp").write_bytes(layers.GOOD)
    begin = time.perf_counter()
    assert len(subject.layers_of(["board"])) == 1
    assert time.perf_counter() - begin < 1


def test_an_attribute_says_it_without_a_note(run: Run) -> None:
    Path("any.gbr").write_bytes(layers.GOOD)
    (found,) = subject.layers_of(["any.gbr"])
    assert (found.source, found.diagnostics) == (Source.FUNCTION, ())


def test_the_content_of_a_hostile_title_is_escaped(run: Run) -> None:
    Path("any.gbr").write_bytes("%IN\x1b[31m\u202e paste*%".encode() + layers.NAMELESS)
    (found,) = subject.layers_of(["any.gbr"])
    assert "by the image name '\\x1b[31m\\u202e paste'" in found.diagnostics[0].text


def test_a_title_is_looked_for_at_the_start_of_a_file_alone(run: Run) -> None:
    Path("any.gbr").write_bytes(layers.NAMELESS + b"G04 *\n" * 20_000 + b"%INTop Copper*%")
    assert subject.layers_of(["any.gbr"])[0].source is Source.NOTHING


def test_a_named_copper_layer_is_refused_by_its_title(run: Run) -> None:
    Path("any.gbr").write_bytes(b"%INTop Copper*%" + layers.NAMELESS)
    with pytest.raises(
        InputError, match="the image name 'Top Copper' says copper, not a paste layer"
    ) as error:
        subject.layers_of(["any.gbr"])
    assert error.value.code == "not-paste"
    assert "--as-paste" in error.value.hint
