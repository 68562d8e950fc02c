"""Catalogues of bad files that people write: what a row says, and how what is told is held against it."""

import re
from typing import NamedTuple

from tests.cli.conftest import Said


class Bad(NamedTuple):
    """A bad file."""

    what: str
    old: str
    """What of the sound one is replaced."""
    new: str
    place: str
    """`line:column`; empty for the file as a whole."""
    code: str
    says: str
    """How the text begins."""
    hint: str
    """What stands in the hint."""
    by_schema: bool = True
    """Whether a JSON Schema can tell that it is bad."""

    def of(self, sound: str) -> str:
        """The bad file, from the sound one."""
        assert sound.count(self.old) >= 1
        return sound.replace(self.old, self.new, 1)

    def is_told(self, said: Said, file: str) -> None:
        """It is told in one line, with its place and what to do; nothing else is."""
        assert (said.status, said.out) == (2, "")
        place = f"{file}:{self.place}" if self.place else file
        told = re.fullmatch(rf"{re.escape(place)}: error\[{self.code}\]: ([^\n]+) \(([^\n]+)\)\n", said.err)
        assert told, said.err
        assert told[1].startswith(self.says)
        assert self.hint in told[2]
        assert said.err.rstrip("\n").isprintable()
