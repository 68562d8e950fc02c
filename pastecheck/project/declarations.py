"""What a project file may say, by name: declared once, for the reader and for the schema."""

import datetime as dt
import re
from collections.abc import Mapping
from typing import Final

from pastecheck.check import Worse
from pastecheck.measurements.powder import powder_type
from pastecheck.reporters import catalogue as formats
from pastecheck.rulesets.codes import BAD_VALUE
from pastecheck.rulesets.values import LENGTH, TEXT, THICKNESS, TRUTH, Key, Kind, Schema, key, value
from pastecheck.rulesets.yamltree import Complaints, Items, Node, described
from pastecheck.source import Span
from pastecheck.units import length_mm, pattern, quoted

MOST: Final = 1000
"""Entries of one list; more is no file that somebody wrote."""
FAIL_ON: Final = ("error", "warning", "never")
SIDES: Final = ("top", "bottom")
WORST: Final[Mapping[str, Worse]] = {"down-to": Worse.BELOW, "up-to": Worse.ABOVE}
"""How bad a finding may be that is waived, by the way readings get worse."""


def _path(text: str) -> str:
    if not text:
        raise ValueError("expected a path, got nothing")
    if "\0" in text:
        raise ValueError(f"expected a path, got {quoted(text)}")
    return text


def _report_path(text: str) -> str:
    if text == "-":
        raise ValueError("a report cannot go to '-' from here")
    return _path(text)


def _one_of(*known: str) -> "Kind[str]":
    def read(text: str) -> str:
        if text not in known:
            raise ValueError(f"expected {', '.join(known[:-1])} or {known[-1]}, got {quoted(text)}")
        return text

    return Kind(read, "write it in small letters", {"enum": list(known)})


def _powder(text: str) -> str:
    powder_type(text)
    return text


def _day(text: str) -> dt.date:
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        raise ValueError(f"expected a day such as 2027-03-01, got {quoted(text)}")
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise ValueError(f"there is no day {quoted(text)}") from None


def _coordinate(text: str) -> float:
    sign, rest = (-1, text.strip()[1:]) if text.strip().startswith("-") else (1, text)
    if rest.lstrip() != rest and sign < 0:
        raise ValueError(f"expected a length with its unit, such as '-0.2 mm', got {quoted(text)}")
    return sign * length_mm(rest)


def _place(node: Node, complaints: Complaints) -> object | None:
    """Two coordinates."""
    if not isinstance(node, Items) or len(node.items) != 2:
        what = f"expected two coordinates, got {_counted(node)}"
        complaints.add(BAD_VALUE, what, node.span, "write them as [47.42 mm, 32.00 mm], as reports show them")
        return None
    x_mm, y_mm = (value(one, COORDINATE, complaints) for one in node.items)
    return None if x_mm is None or y_mm is None else (x_mm, y_mm)


def _counted(node: Node) -> str:
    return f"a list of {len(node.items)}" if isinstance(node, Items) else described(node)


def one_or_more(kind: "Kind[object]", says: str) -> Key:
    """A name that holds one value, or a list of them; it is read as pairs of value and place."""

    def read(node: Node, complaints: Complaints) -> object | None:
        nodes = node.items if isinstance(node, Items) else (node,)
        if not nodes or len(nodes) > MOST:
            what = f"expected one value or a list of up to {MOST}, got a list of {len(nodes)}"
            complaints.add(BAD_VALUE, what, node.span, kind.hint)
            return None
        each = [(value(one, kind, complaints), one.span) for one in nodes]
        found: list[tuple[object, Span]] = [(text, span) for text, span in each if text is not None]
        return tuple(found) if len(found) == len(nodes) else None

    many: Schema = {"type": "array", "minItems": 1, "maxItems": MOST, "items": kind.schema}
    return Key(read, {"anyOf": [kind.schema, many]}, says)


_AS_PATH: Final[Schema] = {"type": ["string", "number", "boolean"], "pattern": r"[\s\S]"}
PATH: Final = Kind(_path, "write the path as it is from the folder of this file", _AS_PATH)
REPORT: Final = Kind(
    _report_path, "name a file; for standard output there are the options of check", _AS_PATH
)
COORDINATE: Final = Kind(
    _coordinate,
    "write a number with a point for the decimals, and one of mm, um, mil, in",
    {"type": "string", "pattern": pattern("mm").replace(r"^\s*", r"^\s*-?", 1)},
)
_DAY_SCHEMA: Final[Schema] = {"type": "string", "pattern": r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}
DAY: Final = Kind(_day, "write year, month and day", _DAY_SCHEMA)
POWDER: Final = Kind(_powder, "the type stands on the label of the paste", {"type": ["string", "integer"]})

LAYER: Final[Mapping[str, Key]] = {
    "file": key(PATH, "a Gerber file; or a folder or .zip archive, whose paste layers are found"),
    "side": key(_one_of(*SIDES), "the side it is of, where neither file nor name tells it"),
    "land": one_or_more(PATH, "copper of the same side: what openings lie on; of a folder one for each side"),
    "mask": one_or_more(PATH, "solder mask of the same side; of a folder one for each side"),
    "outline": key(PATH, "outline of the board"),
    "may-be-empty": key(TRUTH, "true where there may be nothing to cut; else such a layer is no pass"),
    "as-paste": key(TRUTH, "true where it is paste, though it or its name says that it is another layer"),
}
REPORTS: Final[Mapping[str, Key]] = {
    option: key(REPORT, f"where to write {one.says}") for option, one in formats().items()
}
WAIVER: Final[Mapping[str, Key]] = {
    "check": one_or_more(TEXT, "the check whose findings are waived, or a list of them"),
    "component": one_or_more(
        TEXT, "the component they are of, such as J2 or U*; of a pair both must be among those named"
    ),
    "at": Key(
        _place,
        {"type": "array", "minItems": 2, "maxItems": 2, "items": COORDINATE.schema},
        "where they are, as reports show it: [47.42 mm, 32.00 mm]",
    ),
    "within": key(LENGTH, "how far from there at most"),
    "fingerprint": one_or_more(
        TEXT, "the finding itself, by the name that --json gives it, or a list of them"
    ),
    "side": key(_one_of(*SIDES), "only findings of that side; both unless given"),
    "down-to": Key(
        lambda node, _: node,
        {"type": ["string", "number"]},
        "the smallest reading that is waived, in the unit of the check: what is below counts",
    ),
    "up-to": Key(
        lambda node, _: node,
        {"type": ["string", "number"]},
        "the largest reading that is waived, in the unit of the check: what is above counts",
    ),
    "reason": key(TEXT, "why they are to stay; reports show it"),
    "until": key(DAY, "the last day the waiver counts, such as 2027-03-01"),
}
TOP: Final[Mapping[str, Key]] = {
    "rules": key(PATH, "name of a rule set (pastecheck rules lists them), or path of your own .yaml file"),
    "thickness": key(THICKNESS, "film thickness instead of the rule set's, such as 80 um"),
    "powder": key(POWDER, "powder type of the paste, 3 to 8, instead of the rule set's"),
    "everything": key(TRUTH, "true to judge thin line work and slivers as openings, too"),
    "known": key(
        PATH, "an earlier report, as --json wrote it: its findings are known, and only new ones count"
    ),
    "fail-on": key(_one_of(*FAIL_ON), "what makes the exit status 1; error unless given"),
}
"""Names that hold one value."""
ORDER: Final = (
    "rules",
    "thickness",
    "powder",
    "limits",
    "layers",
    "everything",
    "known",
    "waivers",
    "reports",
    "fail-on",
)
"""All names at the top, in the order in which they are best written."""
NEEDED: Final = ("rules", "layers")
LIMITS_SAY: Final = "limits and settings of single checks instead of the rule set's, each with its source"
LAYERS_SAY: Final = "the paste layers, each by its path or as a section"
WAIVERS_SAY: Final = "findings that are to stay, and why"
REPORTS_SAY: Final = "reports to write, by format"
