"""Layers that mutations start from: our fixtures, small made layers, and a corpus where there is one."""

import os
from pathlib import Path
from typing import Final

from tests.bench.make_layers import odd, overlapping, own_sizes, panel

FIXTURES: Final = Path(__file__).resolve().parents[2] / "fixtures"
_LARGEST = 10_000
"""Bytes of a layer of the corpus: a larger one shows little more, and takes as long as many small ones."""


def own_layers() -> list[bytes]:
    """Layers that come with the project, in an order that holds anywhere."""
    made = [make(30, seed) for make in (panel, overlapping, own_sizes, odd) for seed in (1, 2)]
    return [path.read_bytes() for path in sorted(FIXTURES.rglob("*.gbr"))] + made


def corpus_layers() -> list[bytes]:
    """The smaller layers of the folder PASTECHECK_SHARED; none where it is not set."""
    folder = os.environ.get("PASTECHECK_SHARED")
    if not folder:
        return []
    paths = sorted(path for path in (Path(folder) / "corpus").rglob("*") if path.is_file())
    contents = (path.read_bytes() for path in paths if path.suffix.lower() not in {".csv", ".md"})
    return [content for content in contents if len(content) <= _LARGEST]
