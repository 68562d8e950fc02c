"""Which layer a file is: its attribute first, then what else it says of itself, then its name."""

import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import layers as subject
from pastecheck.errors import InputError
from pastecheck.layer_evidence import Source, evidence_of
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
        "%LNTop Paste*%\n%LNTop Copper*%",  # two layers in one file
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
        code, reason = "untold-layer", "not judged, as nothing tells which layer it is: 'any.gbr'"
    (found,) = subject.layers_of([f"board/{name}" if where == "named" else "board"])
    (said,) = found.diagnostics
    assert said.code == code
    assert reason in said.text


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
