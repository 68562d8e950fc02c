"""Reports that go into pipes: `--json >(jq .verdict)` and `--json /dev/stdout | jq .verdict` of a shell."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli import layers

pytestmark = pytest.mark.skipif(not Path("/dev/fd").is_dir(), reason="open files have no paths here")


def test_a_report_goes_into_a_pipe_by_its_path(tmp_path: Path) -> None:
    (tmp_path / "paste.gbr").write_bytes(layers.BAD)
    read, write = os.pipe()  # holds 64 KiB, and the report has some 3
    command = [sys.executable, "-m", "pastecheck", "check", "paste.gbr", "--rules", layers.RULES]
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[2])}
    done = subprocess.run(
        [*command, "--quiet", "--json", f"/dev/fd/{write}"],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        pass_fds=(write,),
        check=False,
    )
    os.close(write)
    with os.fdopen(read, "rb") as pipe:
        document = pipe.read()
    assert (done.returncode, done.stderr) == (1, b"")
    assert json.loads(document)["verdict"] == "fail"
    assert done.stdout.startswith(b"do not cut this")
