import csv
import io
import json
import zipfile
from pathlib import Path

import pytest

from pastecheck import layers as subject
from pastecheck.errors import InputError
from pastecheck.layer_names import hint_of
from pastecheck.limits import STANDARD
from tests.cli import layers
from tests.cli.conftest import Run


@pytest.mark.parametrize(
    ("name", "kind", "side"),
    [
        ("board.GTP", "paste", "top"),
        ("board.gbp", "paste", "bottom"),
        ("board.crc", "paste", "top"),
        ("board.crs", "paste", "bottom"),
        ("board-paste-top.gbr", "paste", "top"),
        ("solderpaste_bottom.gbr", "paste", "bottom"),
        ("TopPaste.gbr", "paste", "top"),
        ("toppaste.gbr", "paste", "top"),
        ("pasteMaskBottom.art", "paste", "bottom"),
        ("PASTE_BOT.art", "paste", "bottom"),
        ("board.tcream.ger", "paste", "top"),
        ("board-F_Paste.gbr", "paste", "top"),
        ("board-B_Paste.gbr", "paste", "bottom"),
        ("rev-b-board-paste.gbr", "paste", "unknown"),
        ("paste-top-bottom.gbr", "paste", "unknown"),
        ("laptop-stencil.gbr", "paste", "unknown"),
        ("paste-dispenser.gtl", "copper", "top"),
        ("board.gts", "solder mask", "top"),
        ("board-mask-top.gbr", "solder mask", "top"),
        ("board.gto", "legend", "top"),
        ("board.gko", "outline", "unknown"),
        ("board.gm1", "outline", "unknown"),
        ("board.drl", "drill", "unknown"),
        ("template.gbr", "", "unknown"),
        ("board.gbr", "", "unknown"),
    ],
)
def test_a_name_says_kind_and_side(name: str, kind: str, side: str) -> None:
    assert hint_of(name)[:2] == (kind, side)


def _board(folder: Path) -> None:
    (folder / "sub").mkdir(parents=True)
    (folder / "z.gbr").write_bytes(layers.layer("D10*", "X0Y0D03*", function="Paste,Bot"))
    (folder / "a.gtp").write_bytes(layers.NAMELESS)
    (folder / "paste.gbr").write_bytes(layers.COPPER)
    (folder / "paste-notes.txt").write_bytes(b"stir the paste")
    (folder / ".hidden.gtp").write_bytes(layers.NAMELESS)
    (folder / "sub" / "m.gbr").write_bytes(layers.GOOD)


def _packed(folder: Path) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(folder.rglob("*"), reverse=True):
            archive.write(path, path.relative_to(folder))
    return packed.getvalue()


@pytest.mark.parametrize("packed", [False, True], ids=["folder", "archive"])
def test_paste_layers_are_found_by_what_they_say_and_else_by_name(run: Run, *, packed: bool) -> None:
    _board(Path("board"))
    argument = "board.zip" if packed else "board"
    if packed:
        Path(argument).write_bytes(_packed(Path("board")))
    found = subject.layers_of([argument])
    assert [(layer.path, layer.side) for layer in found] == [
        (f"{argument}/a.gtp", "top"),
        (f"{argument}/sub/m.gbr", "top"),
        (f"{argument}/z.gbr", "bottom"),
    ]
    codes = [[one.code for one in layer.diagnostics] for layer in found]
    assert codes == [["paste-by-name", "unsure-layer", "not-looked-into"], [], []]  # paste.gbr, .hidden.gtp
    assert found[1].content == layers.GOOD
    document = json.loads(run("check", argument, "--rules", layers.RULES, "--json", "-").out)
    assert [layer["file"] for layer in document["layers"]] == [layer.path for layer in found]


def test_as_paste_takes_a_file_for_paste_and_says_so(run: Run) -> None:
    Path("top.gbr").write_bytes(layers.COPPER)
    said = run("check", "top.gbr", "--rules", layers.RULES, "--as-paste")
    assert said.status == 0
    assert "taken for paste, as told [as-paste]" in " ".join(said.out.split())


def test_a_file_of_unknown_function_and_name_is_taken_as_told(run: Run) -> None:
    Path("top.gbr").write_bytes(layers.NAMELESS)
    (found,) = subject.layers_of(["top.gbr"])
    assert (found.side, [one.code for one in found.diagnostics]) == ("unknown", ["paste-as-named"])


def test_a_layer_too_large_is_refused_by_what_it_declares_and_by_what_it_is(run: Run) -> None:
    content = layers.GOOD + b"G04 *\n" * 200_000  # 1.2 MB: more than 1 MiB
    Path("top.gtp").write_bytes(content)
    with zipfile.ZipFile("board.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.write("top.gtp")
    lying = Path("board.zip").read_bytes().replace(len(content).to_bytes(4, "little"), b"\x10\0\0\0")
    Path("lying.zip").write_bytes(lying)
    for name, code in [("top.gtp", "too-large"), ("board.zip", "too-large"), ("lying.zip", "archive")]:
        with pytest.raises(InputError) as error:
            subject.layers_of([name], limits=STANDARD.raised("layer-mib", 1))
        assert error.value.code == code
    assert subject.layers_of(["top.gtp"], limits=STANDARD.raised("layer-mib", 2))


def test_an_archive_that_would_swell_is_not_unpacked(run: Run) -> None:
    comments = layers.GOOD + b"G04 *\n" * 3_000_000  # 18 MB, which pack to a thousandth
    with zipfile.ZipFile("board.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("picture.bmp", b"\0" * len(comments))  # never unpacked, so it may
        archive.writestr("top.gtp", comments)
    said = run("check", "board.zip", "--rules", layers.RULES)
    assert said.status == 2
    wanted = "board.zip/top.gtp: error[too-large]: it would unpack to "
    assert said.err.startswith(wanted)
    times = said.err.rsplit("--limit swelling=", 1)[1].removesuffix(")\n")
    assert subject.layers_of(["board.zip"], limits=STANDARD.raised("swelling", int(times)))


def test_a_folder_of_too_many_files_is_refused(run: Run) -> None:
    _board(Path("board"))
    Path("board.zip").write_bytes(_packed(Path("board")))
    for name in ("board", "board.zip"):
        with pytest.raises(InputError) as error:
            subject.layers_of([name], limits=STANDARD.raised("files", 2))
        assert error.value.code == "too-many-files"
        assert error.value.hint.endswith("--limit files=4")


def test_nothing_of_an_archive_is_unpacked(run: Run) -> None:
    with zipfile.ZipFile("board.zip", "w") as archive:
        archive.writestr("../../evil.gtp", layers.GOOD)
    before = sorted(Path.cwd().parent.rglob("*"))
    subject.layers_of(["board.zip"])
    assert sorted(Path.cwd().parent.rglob("*")) == before


@pytest.mark.parametrize("packed", [False, True], ids=["folder", "archive"])
def test_the_paste_layers_of_real_boards_are_found_with_their_sides_and_nothing_else(
    shared: Path, tmp_path: Path, *, packed: bool
) -> None:
    corpus = shared / "corpus"
    boards: dict[str, dict[str, str]] = {}
    with (corpus / "MANIFEST.csv").open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            boards.setdefault(row["slug"], {})[row["file"]] = row["layer_kind"]
    for slug, kinds in boards.items():
        place = corpus / slug
        if packed:
            place = tmp_path / "board.zip"
            place.write_bytes(_packed(corpus / slug))
        found = subject.layers_of([str(place)])
        wanted = {name: kind.removeprefix("paste_") for name, kind in kinds.items() if "paste" in kind}
        assert {Path(layer.path).name: layer.side for layer in found} == wanted
        warnings = [one for layer in found for one in layer.diagnostics if one.level == "warning"]
        assert not warnings
