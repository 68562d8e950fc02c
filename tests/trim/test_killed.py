"""Whenever the command is killed, the old file or the new one is there, whole."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.trim.test_worked_table import row

pytestmark = pytest.mark.skipif(os.name == "nt", reason="processes cannot be killed so there")

_WRITES = """
import itertools, sys
from pastecheck.outputs import Output, in_place_at_the_end
texts = [letter * 60 + "\\n" for letter in "ab"]
print("begun", flush=True)
for number in itertools.count():
    with in_place_at_the_end([Output(sys.argv[1], itertools.repeat(texts[number % 2], 50_000))]):
        pass
"""
"""Writes one text and another by turns, as the command writes its layer."""


def test_killed_while_it_writes_it_leaves_one_text_or_the_other(tmp_path: Path, root: Path) -> None:
    out = tmp_path / "out.gbr"
    out.write_text("the old file\n", encoding="utf-8")
    whole = {"the old file\n", *(f"{letter * 60}\n" * 50_000 for letter in "ab")}
    chance = random.Random(6)
    for _ in range(12):
        argv = [sys.executable, "-c", _WRITES, str(out)]
        process = subprocess.Popen(argv, cwd=root, stdout=subprocess.PIPE)
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(chance.uniform(0, 0.05))
        process.send_signal(signal.SIGKILL)
        process.communicate()
        assert out.read_text(encoding="utf-8") in whole


@pytest.mark.slow
def test_killed_at_200_moments_it_leaves_the_old_file_or_the_new_one_whole(tmp_path: Path) -> None:
    layer, out = tmp_path / "layer.gbr", tmp_path / "out.gbr"
    layer.write_text(row(0.3, 1.5, 0.5, count=40), encoding="utf-8")
    argv = [sys.executable, "-m", "pastecheck", "trim", str(layer), "--rules", "polyester-75-knife",
            "--as-paste", "--out", str(out), "--force"]  # fmt: skip
    begun = time.monotonic()
    subprocess.run(argv, check=False, capture_output=True)
    lasts = time.monotonic() - begun
    new, old = out.read_bytes(), b"the old file\n"
    chance = random.Random(6)
    seen = set()
    for _ in range(200):
        out.write_bytes(old)
        process = subprocess.Popen(argv, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(lasts * chance.uniform(0.5, 1.1))
        process.send_signal(signal.SIGKILL)
        process.wait()
        seen.add(out.read_bytes())
    assert seen <= {old, new}
