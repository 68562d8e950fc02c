"""The page about the section `trim` of a rule set, from what is declared of it."""

from typing import Final

from pastecheck.reporters import pages
from pastecheck.rulesets.trim_section import ENTRIES, SELECTED_ENTRY
from pastecheck.rulesets.trims import SELECTED

NAME: Final = "trim"

_SAYS: Final = """
Which openings pastecheck trim makes smaller, and by how much. pastecheck rules SET shows what a set says of
it, each entry with its source; an entry of your own rule set takes the place of that of the set it extends.

No opening is made smaller than the error limits of the rule set let it be, none grows without --grow, and
what would bring an error is left as it was. Chips, panes and selected openings go by the size as drawn: the
trimmed layer says that they were done, and they are not done again.
"""


def of_trim(width: int = 80) -> str:
    """What each entry does, and what may stand in it."""
    named = {**ENTRIES, f"{SELECTED}.NAME": SELECTED_ENTRY}
    entries = [
        pages.Told(name, one.says, {key: of.says for key, of in one.keys.items()})
        for name, one in named.items()
    ]
    return pages.of_section("trim - what pastecheck trim changes", _SAYS.split("\n\n"), entries, width)
