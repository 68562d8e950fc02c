"""
The columnar reader and the plain one, statement by statement, find the same in every layer of real boards.

Not only in paste: copper, masks and outlines have arcs, regions, labels and styles of writing that paste has
seldom. The boards may not be copied into the project, so this is skipped where PASTECHECK_SHARED is not set.
"""

from collections import Counter
from pathlib import Path

import pytest

from pastecheck import gerber
from pastecheck.errors import PastecheckError
from tests.gerber.plain_reader import things_in
from tests.gerber.test_plain_reader import things_of

NO_LAYERS = {".csv", ".md", ".txt"}


@pytest.mark.slow
def test_both_find_the_same_things_in_every_layer_of_the_corpus(shared: Path) -> None:
    files = (path for path in sorted((shared / "corpus").rglob("*")) if path.is_file())
    counted: Counter[str] = Counter()
    for path in (path for path in files if path.suffix not in NO_LAYERS):
        data = path.read_bytes()
        try:
            drawing = gerber.read(data, path.name)
        except PastecheckError as error:
            counted[error.code] += 1
            continue
        assert things_of(drawing) == things_in(data.decode("latin-1")), path
        counted["read"] += 1
    # 212 layers of all kinds; two power planes are drawn as negative images (IPNEG)
    assert counted == {"read": 210, "negative-image": 2}
