"""What a rule set may say, by name: declared once, for the reader and for the schema."""

from collections.abc import Mapping
from typing import Final, NamedTuple

from pastecheck.check import Worse
from pastecheck.rulesets import cutting
from pastecheck.rulesets.codes import BAD_EXTENDS, BAD_VALUE
from pastecheck.rulesets.values import LENGTH, TEXT, THICKNESS, Key, key, value
from pastecheck.rulesets.yamltree import Complaints, Items, Node
from pastecheck.source import Span

MOST_FILES: Final = 16
"""That one rule set may be made of."""

BELOW: Final = ("error-below", "warn-below")
ABOVE: Final = ("error-above", "warn-above")
LIMITS: Final[Mapping[Worse, tuple[str, ...]]] = {
    Worse.BELOW: BELOW,
    Worse.ABOVE: ABOVE,
    Worse.BOTH: (*BELOW, *ABOVE),
}
"""Limits that a check takes, by the way its readings get worse."""

LIMITS_SAY: Final[Mapping[str, str]] = {
    "error-below": "an error where the reading is below",
    "warn-below": "a warning where the reading is below; above error-below",
    "error-above": "an error where the reading is above",
    "warn-above": "a warning where the reading is above; below error-above",
}
SOURCE: Final = key(
    TEXT, "where the limits come from: a page, a trial cut of yours, or 'common practice, no source'"
)
RULES_SAY: Final = "the checks, by name, each with its limits, their source, and its settings"


class Extended(NamedTuple):
    """The name of a file that another extends, and where it stands."""

    name: str
    span: Span


def _read_extends(node: Node, complaints: Complaints) -> object | None:
    """One name, or a list of them, each with its place."""
    if isinstance(node, Items) and not node.items:
        what = "the list of what is extended is empty"
        complaints.add(BAD_VALUE, what, node.span, "name a rule set, or leave 'extends' out")
    names = node.items if isinstance(node, Items) else (node,)
    if len(names) >= MOST_FILES:
        what = f"a rule set made of more than {MOST_FILES} files"
        complaints.add(BAD_EXTENDS, what, node.span, "extend fewer")
        return ()
    found = [(value(one, TEXT, complaints), one.span) for one in names]
    return tuple(Extended(name, span) for name, span in found if name)


TEXTS: Final[Mapping[str, Key]] = {
    "title": key(TEXT, "what reports call the rule set"),
    "cutter": key(TEXT, "what the foil is cut with, such as drag knife or laser"),
}
EXTENDS: Final = Key(
    _read_extends,
    {
        "anyOf": [
            TEXT.schema,
            {"type": "array", "minItems": 1, "maxItems": MOST_FILES - 1, "items": TEXT.schema},
        ]
    },
    "the rule set whose word counts where this one says nothing: its name, or the path of a .yaml file in "
    "the folder of this one or below; or a list of them, of which the last has the last word",
)
SECTIONS: Final[Mapping[str, Mapping[str, Key]]] = {
    "foil": {
        "name": key(TEXT, "what reports call the foil, such as polyester film"),
        "material": key(TEXT, "what it is made of"),
        "thickness": key(THICKNESS, "its thickness, such as 75 um; from 5 um to 5 mm"),
    },
    "sheet": {
        "width": key(LENGTH, "one side of the sheet that goes into the cutter, such as 210 mm"),
        "height": key(LENGTH, "its other side"),
        "unusable": key(LENGTH, "what the cutter cannot reach at each edge; 0 unless given"),
    },
    "cutting": cutting.KEYS,
}
"""Sections of a rule set besides the rules."""
SECTIONS_SAY: Final[Mapping[str, str]] = {
    "foil": "what openings are cut in",
    "sheet": "the sheet that goes into the cutter; without one, sheet-fit and edge-margin are not measured",
    "cutting": "how your machine is set: printed on the report, for the job sheet, and never judged",
}
