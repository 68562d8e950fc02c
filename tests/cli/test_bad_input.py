"""Each bad input: status 2, a place and a next step on standard error, nothing else anywhere."""

import io
import os
import re
import zipfile
from pathlib import Path

import pytest

from tests.cli import layers
from tests.cli.conftest import Run

LINE = re.compile(r"[^\n]+: error\[[a-z-]+\]: [^\n]+ \([^\n]+\)\n")


@pytest.mark.parametrize(
    ("name", "content", "line"),
    [
        ("paste.gbr", b"", None),
        ("paste.gbr", layers.PNG, None),
        ("paste.gbr", layers.DRILL, None),
        ("board.drl", layers.DRILL, None),
        ("paste.gbr", layers.TRUNCATED, None),
        ("paste.gbr", layers.WITHOUT_UNITS, None),
        ("paste.gbr", layers.UNDEFINED_APERTURE, 8),
        ("paste.gbr", layers.UNCLOSED_REGION, None),
        ("paste.gbr", layers.COPPER, 1),
        ("board.gtl", layers.NAMELESS, None),
        ("paste.gbr", b"\x00" * 100, None),
        ("paste.zip", b"no archive", None),
        ("paste.zip", b"PK\x05\x06" + b"\x00" * 18, None),
    ],
    ids=[
        "empty", "png", "drill", "drill-by-name", "truncated", "no-units", "undefined-aperture",
        "unclosed-region", "copper", "copper-by-name", "zeros", "no-archive", "empty-archive",
    ],
)  # fmt: skip
def test_a_bad_layer_is_not_judged(run: Run, name: str, content: bytes, line: int | None) -> None:
    Path(name).write_bytes(content)
    said = run("check", name, "--rules", layers.RULES, "--json", "-", "--csv", "c.csv")
    assert said.status == 2
    assert not said.out
    assert LINE.fullmatch(said.err)
    assert said.err.startswith(f"{name}:{line}:" if line else name)
    assert [path.name for path in Path().iterdir()] == [name]


def test_a_bad_layer_after_a_good_one_stops_all(run: Run) -> None:
    Path("good.gbr").write_bytes(layers.GOOD)
    Path("bad.gbr").write_bytes(layers.TRUNCATED)
    said = run("check", "good.gbr", "bad.gbr", "--rules", layers.RULES, "--json", "out.json")
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("bad.gbr")
    assert not Path("out.json").exists()


def test_a_missing_file_is_answered_with_the_nearest_name(run: Run) -> None:
    Path("board-paste-top.gbr").write_bytes(layers.GOOD)
    said = run("check", "board-paste-topp.gbr", "--rules", layers.RULES)
    wanted = (
        "board-paste-topp.gbr: error[no-file]: there is no such file (did you mean 'board-paste-top.gbr'?)\n"
    )
    assert said == (2, "", wanted)


def test_a_folder_without_paste_layers_is_answered_with_what_is_there(run: Run) -> None:
    Path("board").mkdir()
    Path("board/board.gtl").write_bytes(layers.NAMELESS)
    Path("board/top.gbr").write_bytes(layers.COPPER)
    said = run("check", "board", "--rules", layers.RULES)
    assert said.status == 2
    assert said.err.startswith("board: error[no-paste-layer]: ")
    assert "'board.gtl' (copper by its name)" in said.err
    assert "'top.gbr' ('Copper,L1,Top')" in said.err


def test_a_broken_rule_set_is_told_line_by_line(run: Run, fixtures: Path) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    Path("mine.yaml").write_bytes((fixtures / "rulesets" / "broken.yaml").read_bytes())
    said = run("check", "paste.gbr", "--rules", "mine.yaml")
    assert (said.status, said.out) == (2, "")
    lines = said.err.splitlines()
    assert len(lines) > 1
    assert all(re.match(r"mine\.yaml:\d+:\d+: error\[[a-z-]+\]: .+ \(.+\)$", line) for line in lines)


def test_a_layer_named_twice_is_refused(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    said = run("check", "paste.gbr", "./paste.gbr", "--rules", layers.RULES)
    assert said.status == 2
    assert said.err.startswith("paste.gbr: error[twice]: ")


def test_an_encrypted_archive_is_refused(run: Run) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("top.gtp", layers.GOOD)
    content = bytearray(packed.getvalue())
    content[content.index(b"PK\x01\x02") + 8] |= 1  # the flag of encryption, in the directory
    Path("board.zip").write_bytes(content)
    said = run("check", "board.zip", "--rules", layers.RULES)
    assert said.status == 2
    assert said.err.startswith("board.zip: error[archive]: the archive is encrypted ")


def test_a_damaged_archive_is_refused(run: Run) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("top.gtp", layers.GOOD)
    content = packed.getvalue().replace(b"X0Y0D03", b"X9Y9D03")  # the checksum no longer fits
    Path("board.zip").write_bytes(content)
    said = run("check", "board.zip", "--rules", layers.RULES)
    assert said.status == 2
    assert said.err.startswith("board.zip: error[archive]: ")


def test_a_path_cannot_write_to_the_terminal(run: Run) -> None:
    said = run("check", "a\x1b[31m\u202e.gbr", "--rules", layers.RULES)
    assert said.status == 2
    assert said.err.startswith(r"a\x1b[31m\u202e.gbr: error[no-file]: ")


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="permissions do not bind here")
def test_a_file_that_may_not_be_read_is_told(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    Path("paste.gbr").chmod(0)
    said = run("check", "paste.gbr", "--rules", layers.RULES)
    assert said.status == 2
    assert said.err.startswith("paste.gbr: error[unreadable]: ")
