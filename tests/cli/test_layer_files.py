"""Folders and archives as people have them, and as somebody might make them to do harm."""

import io
import os
import struct
import zipfile
from collections.abc import Mapping
from pathlib import Path

import pytest

from pastecheck.errors import InputError
from pastecheck.layers import layers_of
from pastecheck.limits import STANDARD
from tests.cli import layers
from tests.cli.conftest import Run

BOTTOM = layers.layer("D10*", "X0Y0D03*", function="Paste,Bot")
NO_FUNCTION = layers.layer("D10*", "X0Y0D03*", function="")


def _packed(files: Mapping[str, bytes], how: int = zipfile.ZIP_DEFLATED) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", how) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return packed.getvalue()


def _written(files: Mapping[str, bytes], folder: str = "board") -> None:
    for name, content in files.items():
        path = Path(folder, name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)


def _found(argument: str) -> list[str]:
    return [layer.path for layer in layers_of([argument])]


def _told(argument: str) -> dict[str, str]:
    return {said.code: said.text for layer in layers_of([argument]) for said in layer.diagnostics}


def _refused(argument: str, **raised: int) -> InputError:
    limits = STANDARD
    for name, value in raised.items():
        limits = limits.raised(name.replace("_", "-"), value)
    with pytest.raises(InputError) as error:
        layers_of([argument], limits=limits)
    return error.value


# --------------------------------------------------------------------------- what is an archive, and what not


@pytest.mark.parametrize("name", ["board", "board.ZIP", "board.gbr", "board.zip.txt"])
def test_an_archive_is_known_by_its_first_bytes(run: Run, name: str) -> None:
    Path(name).write_bytes(_packed({"top.gtp": layers.GOOD}))
    assert _found(name) == [f"{name}/top.gtp"]


@pytest.mark.parametrize(
    ("mark", "kind"),
    [
        (b"7z\xbc\xaf\x27\x1c", "7z"),
        (b"Rar!\x1a\x07\x01\x00", "rar"),
        (b"\x1f\x8b\x08", "gzip"),
        (b"BZh9", "bzip2"),
        (b"\xfd7zXZ\x00", "xz"),
        (b"\x28\xb5\x2f\xfd", "zstd"),
        (b"top.gtp".ljust(257, b"\0") + b"ustar", "tar"),
    ],
)
def test_an_archive_of_another_kind_is_refused_with_what_to_do(run: Run, mark: bytes, kind: str) -> None:
    Path("board.gtp").write_bytes(mark.ljust(2000, b"\x01"))
    error = _refused("board.gtp")
    assert error.code == "archive"
    assert f"{kind} archive, which is not read" in error.text
    assert "make a .zip archive of it" in error.hint


ARCHIVE_TOLD = "not looked into: 'old/rev-a.zip' (an archive); name it by itself if it holds a paste layer"


def test_archives_in_a_folder_or_archive_are_told(run: Run) -> None:
    inner = _packed({"bottom.gbp": BOTTOM})
    files = {"top.gtp": layers.GOOD, "old/rev-a.zip": inner, "parts.xlsx": inner}
    _written(files)
    Path("board.zip").write_bytes(_packed(files))
    for argument in ("board", "board.zip"):
        assert _found(argument) == [f"{argument}/top.gtp"]
        assert _told(argument) == {"not-looked-into": ARCHIVE_TOLD}


# -------------------------------------------------------------------------------------- names within archives


@pytest.mark.parametrize(
    ("member", "shown"),
    [
        ("../../evil.gtp", "evil.gtp"),
        ("/etc/evil.gtp", "etc/evil.gtp"),
        ("./a/../b.gtp", "a/b.gtp"),
        ("gerber\\TOP.GTP", "gerber/TOP.GTP"),
        ("platine-mit-lötpaste/Å.gtp", "platine-mit-lötpaste/Å.gtp"),
        ("板.gtp", "板.gtp"),
        ("top.gtp/board.gtp", "top.gtp/board.gtp"),
    ],
)
def test_a_member_is_shown_below_its_archive(run: Run, member: str, shown: str) -> None:
    Path("board.zip").write_bytes(_packed({member: layers.GOOD}))
    assert _found("board.zip") == [f"board.zip/{shown}"]


@pytest.mark.parametrize(
    "member", [".top.gtp", "__MACOSX/top.gtp", ".git/top.gtp", "a/.b/top.gtp", "gerber\\.top.gtp"]
)
def test_hidden_members_are_left_alone(run: Run, member: str) -> None:
    Path("board.zip").write_bytes(_packed({member: layers.GOOD, "bottom.gbp": BOTTOM}))
    assert _found("board.zip") == ["board.zip/bottom.gbp"]


HIDDEN = {
    ".F_Paste.gbr": layers.GOOD,
    "old/.top.gtp": layers.GOOD,
    ".DS_Store": b"",
    "._F_Paste.gbr": b"",  # what a system writes beside a file of that name
    ".git/top.gtp": layers.GOOD,
    "__MACOSX/._top.gtp": b"",
    ".old/top.gtp": layers.GOOD,
    ".old/notes.txt": b"",
}


def test_hidden_files_called_like_layers_are_told_and_those_of_systems_are_not(run: Run) -> None:
    _written({"bottom.gbp": BOTTOM, **HIDDEN})
    Path("board.zip").write_bytes(_packed({"bottom.gbp": BOTTOM, **HIDDEN}))
    do = "; name it by itself if it holds a paste layer"
    files = "not looked into: '.F_Paste.gbr' (hidden)"
    assert _told("board") == {
        "not-looked-into": f"{files}, 'old/.top.gtp' (hidden), '.old' (a hidden folder){do}"
    }
    assert _told("board.zip") == {
        "not-looked-into": f"{files}, '.old/top.gtp' (hidden), 'old/.top.gtp' (hidden){do}"
    }


@pytest.mark.parametrize("where", ["board", "board.zip"])
def test_what_is_hidden_can_be_named(run: Run, where: str) -> None:
    _written(HIDDEN)
    Path("board.zip").write_bytes(_packed(HIDDEN))
    assert _found(f"{where}/.F_Paste.gbr") == [f"{where}/.F_Paste.gbr"]
    assert _found(f"{where}/.old") == [f"{where}/.old/top.gtp"]


@pytest.mark.parametrize(
    ("files", "hint"),
    [
        ({".F_Paste.gbr": layers.GOOD}, "found '.F_Paste.gbr' (hidden); name the paste layer itself"),
        ({".DS_Store": b""}, "found '.DS_Store' (hidden); name the paste layer itself"),
        ({".git/config": b""}, "it holds nothing that is looked at; check that it is the right one"),
        ({}, "it holds nothing that is looked at; check that it is the right one"),
    ],
)
def test_a_folder_or_archive_of_hidden_files_alone_is_answered_with_what_is_true(
    run: Run, files: Mapping[str, bytes], hint: str
) -> None:
    Path("board").mkdir()
    _written(files)
    assert _refused("board").hint == hint
    if hint.startswith("found"):
        Path("board.zip").write_bytes(_packed(files))
        assert _refused("board.zip").hint == hint


def test_a_second_paste_layer_of_one_name_is_refused(run: Run) -> None:
    Path("board.zip").write_bytes(_packed({"top.gtp": layers.GOOD, "../top.gtp": BOTTOM}))
    error = _refused("board.zip")
    assert (str(error.span), error.code) == ("board.zip/top.gtp", "archive")
    assert "two files of this name" in error.text


# ----------------------------------------------------------------------------------------------- whole boards


def test_two_boards_and_a_copy_are_all_judged_and_the_copy_is_told(run: Run) -> None:
    files = {"a/top.gtp": layers.GOOD, "b/top.gtp": layers.CAREFUL, "old/top.gtp": layers.GOOD}
    _written(files)
    found = layers_of(["board"])
    assert [layer.path for layer in found] == ["board/a/top.gtp", "board/b/top.gtp", "board/old/top.gtp"]
    assert [[said.code for said in layer.diagnostics] for layer in found] == [[], [], ["same-layer"]]
    assert "byte for byte, as 'board/a/top.gtp'" in found[2].diagnostics[0].text


def test_what_might_be_paste_and_was_not_taken_is_told(run: Run) -> None:
    contradiction = b"%INSolderpaste Bottom*%" + layers.NAMELESS
    _written({"top.gtp": layers.GOOD, "any.gbr": layers.NAMELESS, "board.gbl": contradiction})
    said = run("check", "board", "--rules", layers.RULES)
    assert said.status == 0
    told = _told("board")
    assert told["untold-layer"].startswith(
        "not judged, as neither name nor beginning tells which layer it is: 'any.gbr'; "
    )
    assert "'board.gbl' (the image name 'Solderpaste Bottom' says paste, but" in told["unsure-layer"]
    assert "care" in said.out.lower()


def test_what_is_plainly_another_layer_is_left_out_without_a_word(run: Run) -> None:
    _written(
        {"top.gtp": layers.GOOD, "board.gtl": layers.NAMELESS, "read.me": b"paste", "x.gbr": layers.COPPER}
    )
    assert _told("board") == {}


def test_a_folder_called_like_a_layer_is_a_folder(run: Run) -> None:
    _written({"bottom.gbp": BOTTOM}, folder="board/top.gtp")
    assert _found("board") == ["board/top.gtp/bottom.gbp"]
    assert _found("board/top.gtp") == ["board/top.gtp/bottom.gbp"]


def test_links_to_folders_are_not_followed_and_told_where_they_lead_elsewhere(run: Run) -> None:
    _written({"top.gtp": layers.GOOD})
    _written({"bottom.gbp": BOTTOM}, folder="elsewhere")
    Path("board/loop").symlink_to("../board", target_is_directory=True)
    Path("board/linked").symlink_to("../elsewhere", target_is_directory=True)
    assert _found("board") == ["board/top.gtp"]
    told = _told("board")["not-looked-into"]
    assert told.startswith("not looked into: 'linked' (a link to a folder elsewhere); ")
    assert _found("board/linked") == ["board/linked/bottom.gbp"]


@pytest.mark.skipif(os.name == "nt", reason="there are no named pipes in folders")
def test_what_is_no_plain_file_is_not_waited_for(run: Run) -> None:
    _written({"top.gtp": layers.GOOD})
    os.mkfifo("board/bottom.gbp")
    os.mkfifo("board/control.sock")
    Path("board/broken.gbr").symlink_to("nowhere")
    told = _told("board")["not-looked-into"]
    assert told.startswith("not looked into: 'bottom.gbp' (no plain file), 'broken.gbr' (no plain file); ")


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="permissions do not bind here")
def test_an_unreadable_file_stops_nothing_unless_it_is_called_paste(run: Run) -> None:
    _written({"top.gtp": layers.GOOD, "board.gtl": layers.COPPER, "any.gbr": layers.NAMELESS})
    Path("board/board.gtl").chmod(0)
    Path("board/any.gbr").chmod(0)
    assert list(_told("board")) == ["not-looked-into"]
    Path("board/closed").mkdir(mode=0)
    assert "'closed' (a folder that may not be read)" in _told("board")["not-looked-into"]
    Path("board/top.gtp").chmod(0)
    assert _refused("board").code == "unreadable"


def test_folders_too_deep_are_told_and_looked_into_on_request(run: Run) -> None:
    _written({"top.gtp": layers.GOOD, "a/b/c/d/e/bottom.gbp": BOTTOM})
    told = _told("board")["not-looked-into"]
    assert "'a/b/c/d/e' (a folder within 5 others; --limit depth=5 looks into it)" in told
    assert len(layers_of(["board"], limits=STANDARD.raised("depth", 5))) == 2


# ----------------------------------------------------------------------------------------------------- bounds


def test_layers_too_large_together_are_refused_before_they_are_read(run: Run) -> None:
    padding = b"G04 *\n" * 120_000  # 0.7 MB each: 1.4 MB together, which are 2 MiB begun
    _written({"top.gtp": layers.GOOD + padding, "bottom.gbp": BOTTOM + padding, "z.gtl": b"x" * 3_000_000})
    error = _refused("board", all_mib=1)
    assert error.code == "too-large"
    assert "have 2 MiB together, more than the 1 that are read" in error.text
    assert error.hint.endswith("--limit all-mib=2")
    assert layers_of(["board"], limits=STANDARD.raised("all-mib", 2))


def test_an_archive_too_large_is_refused_before_it_is_opened(run: Run) -> None:
    Path("board.zip").write_bytes(_packed({"x.bin": os.urandom(1_500_000), "top.gtp": layers.GOOD}))
    error = _refused("board.zip", archive_mib=1)
    assert error.code == "too-large"
    assert error.hint.endswith("--limit archive-mib=2")
    assert layers_of(["board.zip"], limits=STANDARD.raised("archive-mib", 2))


def test_a_device_without_an_end_is_read_as_far_as_a_layer_may_go(run: Run) -> None:
    if not Path("/dev/zero").exists():
        pytest.skip("there is no such device")
    assert _refused("/dev/zero", layer_mib=1).code == "too-large"


def test_members_that_share_bytes_are_refused(run: Run) -> None:
    content = _packed({"a.gtl": layers.COPPER, "top.gtp": layers.GOOD})
    begin = content.index(b"PK\x01\x02")
    second = content.index(b"PK\x01\x02", begin + 4)
    # the second entry of the directory points at the first member
    shared = content[: second + 42] + struct.pack("<I", 0) + content[second + 46 :]
    Path("board.zip").write_bytes(shared)
    error = _refused("board.zip")
    assert error.code == "archive"
    assert "overlap" in error.text


def test_a_member_that_claims_to_be_packed_larger_than_its_archive_is_refused(run: Run) -> None:
    content = _packed({"top.gtp": layers.GOOD})
    at = content.index(b"PK\x01\x02") + 20
    Path("board.zip").write_bytes(content[:at] + struct.pack("<I", 1 << 30) + content[at + 4 :])
    assert _refused("board.zip").code == "archive"


def test_a_directory_of_many_entries_is_counted_before_it_is_read(run: Run) -> None:
    Path("board.zip").write_bytes(_packed({f"{k}.txt": b"" for k in range(30)} | {"top.gtp": layers.GOOD}))
    assert _refused("board.zip", files=20).code == "too-many-files"
    assert _found("board.zip") == ["board.zip/top.gtp"]


def test_a_method_of_packing_that_is_not_known_is_told(run: Run) -> None:
    content = bytearray(_packed({"top.gtp": layers.GOOD, "x.gbr": layers.COPPER}))
    at = content.rindex(b"PK\x01\x02") + 10
    content[at : at + 2] = struct.pack("<H", 97)
    Path("board.zip").write_bytes(content)
    assert _found("board.zip") == ["board.zip/top.gtp"]
    assert "'x.gbr' (the archive cannot be read" in _told("board.zip")["not-looked-into"]


def _encrypted(content: bytes, name: str) -> bytes:
    """The flag of encryption, in the directory."""
    at = content.rindex(name.encode()) - 46
    return content[: at + 8] + bytes([content[at + 8] | 1]) + content[at + 9 :]


def test_an_encrypted_member_matters_only_if_it_may_be_paste(run: Run) -> None:
    content = _packed({"board.gtl": layers.COPPER, "top.gtp": layers.GOOD, "any.gbr": layers.NAMELESS})
    Path("board.zip").write_bytes(_encrypted(content, "board.gtl"))
    assert "not-looked-into" not in _told("board.zip")
    Path("board.zip").write_bytes(_encrypted(content, "any.gbr"))
    assert "'any.gbr' (the archive is encrypted)" in _told("board.zip")["not-looked-into"]
    Path("board.zip").write_bytes(_encrypted(content, "top.gtp"))
    error = _refused("board.zip")
    assert error.code == "archive"
    assert "'top.gtp' needs a password" in error.hint


def test_a_file_in_an_archive_can_be_named_as_reports_show_it(run: Run) -> None:
    Path("board.zip").write_bytes(_packed({"out/top-paste.gbr": BOTTOM, "out/top-mask.gbr": NO_FUNCTION}))
    assert _found("board.zip/out/top-paste.gbr") == ["board.zip/out/top-paste.gbr"]
    assert _refused("board.zip/out/top-mask.gbr").code == "not-paste"
    missed = _refused("board.zip/out/top-past.gbr")
    assert (missed.code, missed.hint) == ("no-file", "did you mean 'board.zip/out/top-paste.gbr'?")


def test_of_two_files_of_one_name_in_an_archive_none_can_be_named(run: Run) -> None:
    Path("board.zip").write_bytes(_packed({"top.gtp": layers.GOOD, "../top.gtp": BOTTOM}))
    assert "two files of this name" in _refused("board.zip/top.gtp").text


def test_a_folder_in_an_archive_can_be_named(run: Run) -> None:
    board = {"g/F_Cu.gbr": layers.COPPER, "g/F_Paste.gbr": layers.GOOD, "g/.B_Paste.gbr": BOTTOM}
    Path("board.zip").write_bytes(_packed({**board, "h/B_Paste.gbr": BOTTOM}))
    assert _found("board.zip/g") == ["board.zip/g/F_Paste.gbr"]
    assert _found("board.zip/g/") == ["board.zip/g/F_Paste.gbr"]
    assert _told("board.zip/g")["not-looked-into"].startswith("not looked into: '.B_Paste.gbr' (hidden); ")


@pytest.mark.parametrize(
    ("missed", "hint"),
    [
        ("board.zip/F_Past.gbr", "did you mean 'board.zip/F_Paste.gbr'?"),
        ("board.zip/F_Cuu.gbr", "did you mean 'board.zip/F_Paste.gbr'?"),  # what is looked for is paste
        ("board.zip/xyz", "it holds 'board.zip/F_Paste.gbr'"),
    ],
)
def test_a_file_that_an_archive_does_not_hold_is_answered_with_its_paste_layers(
    run: Run, missed: str, hint: str
) -> None:
    Path("board.zip").write_bytes(_packed({"F_Cu.gbr": layers.COPPER, "F_Paste.gbr": layers.GOOD}))
    assert _refused(missed).hint == hint


def test_a_long_path_before_an_archive_does_not_hide_the_nearest_name(run: Run) -> None:
    Path("x" * 80).mkdir()
    Path("x" * 80, "board.zip").write_bytes(_packed({"F_Paste.gbr": layers.GOOD}))
    assert _refused(f"{'x' * 80}/board.zip/F_Past.gbr").hint.endswith("/board.zip/F_Paste.gbr'?")
