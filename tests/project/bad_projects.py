"""A catalogue of bad project files: what each one is, and the one line that is said about it."""
# ruff: noqa: E501  a table is read by its rows

from typing import Final

from tests.bad_files import Bad

SOUND: Final = """\
rules: polyester-75-knife
thickness: 80 um
powder: 4
limits:
  web-width:
    error-below: 0.16 mm
    source: my trial cut
layers:
  - top.gbr
  - file: bottom.gbr
    side: bottom
    land: copper.gbr
    may-be-empty: true
known: known.json
waivers:
  - check: web-width
    component: J2
    down-to: 0.14 mm
    reason: printed so for years
    until: 2027-03-01
  - check: [opening-width, powder-fit]
    at: [-1 mm, 2.5 mm]
    within: 0.5 mm
    reason: a jumper
reports:
  json: out.json
  csv: out.csv
fail-on: warning
"""
"""What they would be if they were not bad."""

_BY_READER: Final = False
_FROM_HERE: Final = "the path is taken from the folder of this file"

BAD_PROJECTS: Final = [
    # names
    Bad("unknown key", "known:", "knwon:", "14:1", "unknown-key", "a project file takes no 'knwon'", "did you mean 'known'?"),
    Bad("key like none", "known: known.json", "colour: red", "14:1", "unknown-key", "a project file takes no 'colour'", "known here: rules, thickness, powder, limits"),
    Bad("no rules", "rules: polyester-75-knife\n", "", "1:1", "missing-key", "the project file has no rules", "add 'rules: ...'; pastecheck start writes"),
    Bad("no layers", "  - top.gbr\n  - file: bottom.gbr\n    side: bottom\n    land: copper.gbr\n    may-be-empty: true\n", "  []\n", "9:3", "bad-value", "the list of layers is empty", "name a paste layer"),
    Bad("layers twice", "known: known.json", "layers: [top.gbr]", "14:1", "doubled-key", "'layers' stands here a second time", "the first is in line 8"),
    Bad("unknown key of a layer", "    side: bottom", "    sid: bottom", "11:5", "unknown-key", "a layer takes no 'sid'", "did you mean 'side'?"),
    Bad("unknown key of a waiver", "    reason: a jumper", "    reason: a jumper\n    untill: 2027-01-01", "25:5", "unknown-key", "a waiver takes no 'untill'", "did you mean 'until'?"),
    Bad("unknown format", "  csv:", "  xls:", "27:3", "unknown-key", "'reports' takes no 'xls'", "known here: csv, json"),
    Bad("unknown check in limits", "  web-width:\n", "  web-widht:\n", "5:3", "unknown-key", "no check is named 'web-widht'", "did you mean 'web-width'?"),
    Bad("unknown check in a waiver", "check: web-width", "check: web-widht", "16:12", "unknown-key", "no check is named 'web-widht'", "did you mean 'web-width'?", _BY_READER),
    # files
    Bad("no such rule set", "rules: polyester-75-knife", "rules: polyester-75-knive", "1:8", "bad-value", "no rule set is named 'polyester-75-knive'", "did you mean 'polyester-75-knife'?", _BY_READER),
    Bad("no such rule set file", "rules: polyester-75-knife", "rules: mine.yaml", "1:8", "bad-value", "there is no file 'mine.yaml'", _FROM_HERE, _BY_READER),
    Bad("no such layer", "- top.gbr", "- tpo.gbr", "9:5", "bad-value", "there is no file 'tpo.gbr'", _FROM_HERE, _BY_READER),
    Bad("no such copper", "land: copper.gbr", "land: kopper.gbr", "12:11", "bad-value", "there is no file 'kopper.gbr'", _FROM_HERE, _BY_READER),
    Bad("no such known report", "known: known.json", "known: gone.json", "14:8", "bad-value", "there is no file 'gone.json'", _FROM_HERE, _BY_READER),
    Bad("layer named twice", "- file: bottom.gbr", "- file: ./top.gbr", "10:11", "bad-value", "'top.gbr' is named twice", "name each layer once", _BY_READER),
    Bad("empty path", "- top.gbr", "- ''", "9:5", "bad-value", "expected a path, got nothing", "from the folder of this file"),
    Bad("a path that no system has", "- top.gbr", '- "a\\0b"', "9:5", "bad-value", "expected a path, got 'a\\x00b'", "write the path", _BY_READER),
    Bad("layer without a file", "- file: bottom.gbr\n    side: bottom", "- side: bottom", "10:5", "missing-key", "the layer has no file", "add 'file: ...'"),
    Bad("layer is a list", "- top.gbr", "- [top.gbr]", "9:5", "bad-value", "expected a layer, got a list", "write its path"),
    Bad("layers are one text", "layers:\n  - top.gbr\n  - file: bottom.gbr\n    side: bottom\n    land: copper.gbr\n    may-be-empty: true\n", "layers: top.gbr\n", "8:9", "bad-value", "expected a list, got 'top.gbr'", "write each on a line of its own"),
    Bad("mask without copper", "land: copper.gbr", "mask: copper.gbr", "12:5", "missing-key", "a mask is named, and no copper", "add 'land: ...'"),
    Bad("no side", "side: bottom", "side: left", "11:11", "bad-value", "expected top or bottom, got 'left'", "small letters"),
    Bad("no truth", "may-be-empty: true", "may-be-empty: yes", "13:19", "bad-value", "expected true or false, got 'yes'", "small letters"),
    # reports
    Bad("report over a layer", "json: out.json", "json: top.gbr", "26:9", "bad-value", "'top.gbr' is read, and would be overwritten", "name another file", _BY_READER),
    Bad("report over copper by another way", "json: out.json", "json: ./copper.gbr", "26:9", "bad-value", "'./copper.gbr' is read, and would be", "name another file", _BY_READER),
    Bad("report over the project file", "json: out.json", "json: pastecheck.yaml", "26:9", "bad-value", "'pastecheck.yaml' is read, and would", "name another file", _BY_READER),
    Bad("report over what is known", "json: out.json", "json: known.json", "26:9", "bad-value", "'known.json' is read, and would", "name another file", _BY_READER),
    Bad("two reports to one file", "csv: out.csv", "csv: ./out.json", "27:8", "bad-value", "two reports would go to './out.json'", "a file of its own", _BY_READER),
    Bad("report to standard output", "csv: out.csv", "csv: '-'", "27:8", "bad-value", "a report cannot go to '-' from here", "options of check", _BY_READER),
    Bad("report to no folder", "csv: out.csv", "csv: out/out.csv", "27:8", "bad-value", "there is no folder for 'out/out.csv'", _FROM_HERE, _BY_READER),
    Bad("report to a folder", "csv: out.csv", "csv: .", "27:8", "bad-value", "'.' is a folder", "name a file", _BY_READER),
    # values
    Bad("bare thickness", "80 um", "80", "2:12", "bad-value", "expected a length with its unit", "one of mm, um, mil, in"),
    Bad("no foil so thick", "80 um", "80 mm", "2:12", "bad-value", "expected a thickness from 0.005 mm to 5 mm", "one of mm", _BY_READER),
    Bad("no such powder", "powder: 4", "powder: 12", "3:9", "bad-value", "expected a powder type, one of 3, 4, 5", "label of the paste", _BY_READER),
    Bad("limit without source", "    source: my trial cut\n", "", "5:3", "no-source", "the limits of 'web-width' name no source", "add where they come from"),
    Bad("bare limit", "0.16 mm", "0.16", "6:18", "bad-value", "expected a length with its unit", "one of mm"),
    Bad("limit of the other side", "error-below: 0.16 mm", "error-above: 0.16 mm", "6:5", "unknown-key", "'web-width' takes no 'error-above'", "gets worse below"),
    Bad("no level", "fail-on: warning", "fail-on: warnings", "28:10", "bad-value", "expected error, warning or never, got 'warnings'", "small letters"),
    # waivers
    Bad("waiver without a reason", "    reason: a jumper\n", "", "21:5", "missing-key", "the waiver has no reason", "add 'reason: ...'"),
    Bad("waiver with an empty reason", "reason: a jumper", "reason: ''", "24:13", "bad-value", "expected a text, got nothing", "a line of text"),
    Bad("waiver without a check", "check: web-width\n    component: J2", "component: J2", "16:5", "missing-key", "the waiver names no check", "or a fingerprint"),
    Bad("waiver of all", "    component: J2\n", "", "16:5", "missing-key", "the waiver names no component and no place", "add 'component: J2'", _BY_READER),
    Bad("place without a radius", "    within: 0.5 mm\n", "", "22:5", "missing-key", "the waiver says 'at' and not 'within'", "add 'within: 0.5 mm'"),
    Bad("place of one number", "[-1 mm, 2.5 mm]", "[-1 mm]", "22:9", "bad-value", "expected two coordinates, got a list of 1", "[47.42 mm, 32.00 mm]"),
    Bad("place without units", "[-1 mm, 2.5 mm]", "[-1, 2.5 mm]", "22:10", "bad-value", "expected a length with its unit", "one of mm"),
    Bad("day that is none", "2027-03-01", "2027-02-30", "20:12", "bad-value", "there is no day '2027-02-30'", "year, month and day", _BY_READER),
    Bad("day in other order", "2027-03-01", "01.03.2027", "20:12", "bad-value", "expected a day such as 2027-03-01, got '01.03.2027'", "year, month"),
    Bad("bound of the other side", "down-to: 0.14 mm", "up-to: 0.14 mm", "18:5", "unknown-key", "'web-width' gets worse below a limit, and takes no 'up-to'", "write 'down-to'", _BY_READER),
    Bad("bound without a unit", "down-to: 0.14 mm", "down-to: 0.14", "18:14", "bad-value", "expected a length with its unit", "one of mm", _BY_READER),
    Bad("bound of two checks", "within: 0.5 mm", "within: 0.5 mm\n    down-to: 0.1 mm", "24:5", "bad-value", "'down-to' is of one check, and the waiver has 2", "a waiver for each check", _BY_READER),
    Bad("fingerprint and component", "    check: web-width".replace("    ", "  - "), "  - fingerprint: web-width J2@0.00,0.00 J2@0.50,0.00", "17:5", "bad-value", "a fingerprint and 'component' are given", "leave out the other", _BY_READER),
    Bad("waivers are a section", "waivers:\n  - check: web-width\n    component: J2", "waivers:\n    check: web-width\n    component: J2", "21:3", "not-yaml", "cannot be read as YAML", "indentation", _BY_READER),
    Bad("waiver is a text", "  - check: web-width\n    component: J2\n    down-to: 0.14 mm\n    reason: printed so for years\n    until: 2027-03-01", "  - web-width", "16:5", "bad-value", "expected a waiver, got 'web-width'", "write names and values"),
    # the file
    Bad("empty", SOUND, "", "", "missing-key", "the file is empty", "write at least rules and layers", _BY_READER),
    Bad("list at the top", SOUND, "- top.gbr\n", "1:1", "bad-value", "expected names with values, got a list", "begin with 'rules: ...'"),
    Bad("alias", "known: known.json", "known: *a", "14:8", "refused-yaml", "anchors and aliases are not read here", "write the value out", _BY_READER),
    Bad("tab", "    side: bottom", "\tside: bottom", "11:1", "not-yaml", "a tab stands in the indentation", "indent with spaces", _BY_READER),
    Bad("hostile text", "known: known.json", 'known: "\\e[31m"', "14:8", "bad-value", "there is no file '\\x1b[31m'", _FROM_HERE, _BY_READER),
]  # fmt: skip
