"""A catalogue of bad rule sets: what each one is, and the one line that is said about it."""
# ruff: noqa: E501  a table is read by its rows

from collections.abc import Mapping
from typing import Final

from tests.bad_files import Bad

SOUND: Final = """\
title: a sheet of mine
cutter: drag knife
foil:
  name: polyester film
  material: polyester
  thickness: 75 um
cutting:
  speed: 20 mm/s
  passes: 2
sheet:
  width: 210 mm
  height: 297 mm
rules:
  area-ratio:
    error-below: 0.60
    warn-below: 0.66
    source: my notes
  web-width:
    error-below: 0.17 mm
    warn-below: 9 mil
    source: my notes
  land-coverage:
    error-below: 0.35
    warn-above: 1.15
    source: my notes
  deposit-volume:
    transfer-efficiency: {0.5: 0.6, 0.66: 0.8}
  powder-fit:
    powder-type: 4
trim:
  rows:
    share-of-pitch: 0.50
    gap: 0.25 mm
    gaps-below: 0.235 mm
    source: my notes
  large:
    coverage: 0.80
    web: 0.40 mm
    source: my notes
  selected:
    shields:
      component: SH*
      inset: 0.05 mm
      source: my notes
"""
"""What they would be if they were not bad."""

_BY_READER: Final = False
"""A schema sees what YAML made of the file, and nothing of other files; it compares no numbers."""

_LENGTH: Final = "one of mm, um, mil, in"
_PLAIN: Final = "write a plain number"
_DEEP: Final = "[" * 9 + "]" * 9

BAD_SETS: Final = [
    # units and numbers
    Bad("bare number", "75 um", "75", "6:14", "bad-value", "expected a length with its unit, such as '0.2 mm', got '75'", _LENGTH),
    Bad("unknown unit", "75 um", "75 gauge", "6:14", "bad-value", "expected a length with its unit, such as '0.2 mm', got '75 gauge'", _LENGTH),
    Bad("area for a length", "0.17 mm", "0.17 mm2", "19:18", "bad-value", "expected a length with its unit", _LENGTH),
    Bad("unit on a ratio", "0.60", "0.60 mm", "15:18", "bad-value", "expected a number without a unit, such as '0.66', got '0.60 mm'", _PLAIN),
    Bad("per cent", "0.60", "60 %", "15:18", "bad-value", "expected a number without a unit", _PLAIN),
    Bad("decimal comma", "0.17 mm", "0,17 mm", "19:18", "bad-value", "expected a length with its unit", "a point for the decimals"),
    Bad("negative", "0.60", "-0.60", "15:18", "bad-value", "expected a number without a unit", "0 or more"),
    Bad("negative length", "0.17 mm", "-0.17 mm", "19:18", "bad-value", "expected a length with its unit", "0 or more"),
    Bad("not a number", "0.60", ".nan", "15:18", "bad-value", "expected a number without a unit", _PLAIN, _BY_READER),
    Bad("infinite", "0.60", ".inf", "15:18", "bad-value", "expected a number without a unit", _PLAIN, _BY_READER),
    Bad("overflow", "0.60", "1e999", "15:18", "bad-value", "expected a number without a unit", _PLAIN, _BY_READER),
    Bad("too many digits", "0.17 mm", f"{'9' * 400} mm", "19:18", "bad-value", "expected a length with its unit", _LENGTH, _BY_READER),
    Bad("underscore", "0.60", "1_000", "15:18", "bad-value", "expected a number without a unit", _PLAIN),
    Bad("octal", "powder-type: 4", "powder-type: 010", "29:18", "bad-value", "expected a whole number, such as '4', got '010'", "digits only", _BY_READER),
    Bad("octal ratio", "0.60", "010", "15:18", "bad-value", "expected a number that does not begin with 0, got '010'", _PLAIN, _BY_READER),
    Bad("hexadecimal", "0.60", "0x1", "15:18", "bad-value", "expected a number without a unit", _PLAIN),
    Bad("base sixty", "0.60", "1:30", "15:18", "bad-value", "expected a number without a unit", _PLAIN),
    Bad("truth for a number", "0.60", "yes", "15:18", "bad-value", "expected a number without a unit", _PLAIN),
    Bad("date for a number", "0.60", "2024-01-01", "15:18", "bad-value", "expected a number without a unit", _PLAIN),
    Bad("nothing for a number", "0.60", "", "15:17", "bad-value", "expected a number without a unit, such as '0.66', got nothing", _PLAIN),
    Bad("null for a length", "0.17 mm", "~", "19:18", "bad-value", "expected a length with its unit, such as '0.2 mm', got nothing", _LENGTH),
    Bad("list for a length", "75 um", "[75 um]", "6:14", "bad-value", "expected one value, got a list", _LENGTH),
    Bad("section for a length", "0.17 mm", "{mm: 0.17}", "19:18", "bad-value", "expected one value, got a section", _LENGTH),
    Bad("foil thinner than any", "75 um", "0.075 um", "6:14", "bad-value", "expected a thickness from 0.005 mm to 5 mm, got '0.075 um'", _LENGTH, _BY_READER),
    Bad("foil thicker than any", "75 um", "75 mm", "6:14", "bad-value", "expected a thickness from 0.005 mm to 5 mm", _LENGTH, _BY_READER),
    Bad("limit in another unit than was meant", "0.17 mm", "0.17 um", "19:18", "bad-value", "expected 0 mm, or 0.001 mm and more, got '0.17 um'", _LENGTH, _BY_READER),
    Bad("foil of no thickness", "75 um", "0 um", "6:14", "bad-value", "expected a thickness from 0.005 mm to 5 mm", _LENGTH, _BY_READER),
    # names
    Bad("unknown key", "cutter: drag", "knife: drag", "2:1", "unknown-key", "a rule set takes no 'knife'", "known here: title"),
    Bad("misspelt needed key", "title: a", "titel: a", "1:1", "unknown-key", "a rule set takes no 'titel'", "did you mean 'title'?"),
    Bad("misspelt field", "material: p", "materiel: p", "5:3", "unknown-key", "a foil takes no 'materiel'", "did you mean 'material'?"),
    Bad("unknown field", "speed: 20 mm/s", "velocity: 20 mm/s", "8:3", "unknown-key", "cutting takes no 'velocity'", "known here: speed"),
    Bad("misspelt check", "web-width:", "web-with:", "18:3", "unknown-key", "no check is named 'web-with'", "did you mean 'web-width'?"),
    Bad("check by another name", "web-width:", "bridge:", "18:3", "unknown-key", "no check is named 'bridge'", "known here: area-ratio, "),
    Bad("misspelt limit", "warn-below: 0.66", "warning-below: 0.66", "16:5", "unknown-key", "'area-ratio' takes no 'warning-below'", "did you mean 'warn-below'?"),
    Bad("limit with an underscore", "warn-below: 0.66", "warn_below: 0.66", "16:5", "unknown-key", "'area-ratio' takes no 'warn_below'", "did you mean 'warn-below'?"),
    Bad("limit on the wrong side", "warn-below: 0.66", "warn-above: 0.66", "16:5", "unknown-key", "'area-ratio' takes no 'warn-above'", "it gets worse below a limit"),
    Bad("unknown setting", "powder-type: 4", "powder: 4", "29:5", "unknown-key", "'powder-fit' takes no 'powder'", "did you mean 'powder-type'?"),
    Bad("setting of another check", "warn-below: 0.66", "powder-type: 4", "16:5", "unknown-key", "'area-ratio' takes no 'powder-type'", "known here: error-below"),
    Bad("list for a name", "web-width:", "[web, width]:", "18:3", "bad-value", "expected a name, got a list", "write 'name: value'", _BY_READER),
    Bad("empty name", "web-width:", "'':", "18:3", "bad-value", "expected a name, got nothing", "write 'name: value'"),
    Bad("number for a name", "web-width:", "42:", "18:3", "unknown-key", "no check is named '42'", "known here"),
    Bad("escape in a name", "web-width:", '"web\\e[2J":', "18:3", "unknown-key", r"no check is named 'web\x1b[2J'", "known here"),
    # doubled
    Bad("doubled key", "warn-below: 0.66", "error-below: 0.66", "16:5", "doubled-key", "'error-below' stands here a second time", "the first is in line 15; keep one", _BY_READER),
    Bad("doubled rule", "web-width:", "area-ratio:", "18:3", "doubled-key", "'area-ratio' stands here a second time", "the first is in line 14"),
    Bad("doubled section", "sheet:\n", "rules: {}\nsheet:\n", "14:1", "doubled-key", "'rules' stands here a second time", "the first is in line 10", _BY_READER),
    Bad("doubled rule after extends", "  powder-fit:", "  web-width: {}\n  powder-fit:", "28:3", "doubled-key", "'web-width' stands here a second time", "line 18", _BY_READER),
    Bad("doubled pair of a table", "0.66: 0.8", "0.5: 0.8", "27:37", "doubled-key", "'0.5' stands here a second time", "line 27", _BY_READER),
    # contradictions
    Bad("warning below error", "warn-below: 0.66", "warn-below: 0.55", "16:17", "impossible-limits", "a warning below 0.55 can never show", "set warn-below above error-below", _BY_READER),
    Bad("warning at error", "warn-below: 0.66", "warn-below: 0.6", "16:17", "impossible-limits", "a warning below 0.60 can never show", "or leave it out", _BY_READER),
    Bad("contradiction in other units", "9 mil", "6.69 mil", "20:17", "impossible-limits", "a warning below 0.1699 mm can never show: below 0.1700 mm is an error", "or leave it out", _BY_READER),
    Bad("nothing can pass", "warn-above: 1.15", "warn-above: 0.3", "24:17", "impossible-limits", "nothing can pass: error-below is 0.35, and warn-above is 0.30", "set warn-above above error-below", _BY_READER),
    # sources
    Bad("limits without a source", "    source: my notes\n  web", "  web", "14:3", "no-source", "the limits of 'area-ratio' name no source", "a habit is 'common practice, no source'"),
    Bad("source without limits", "    powder-type: 4", "    source: a page", "29:5", "no-source", "'powder-fit' has a source but no limits", "set them beside it"),
    Bad("empty source", "source: my notes\n  web", "source:\n  web", "17:12", "bad-value", "expected a text, got nothing", "write a line of text"),
    Bad("list of sources", "source: my notes\n  web", "source: [a, b]\n  web", "17:13", "bad-value", "expected one value, got a list", "write a line of text"),
    # what is not there
    Bad("no title", "title: a sheet of mine\n", "", "1:1", "missing-key", "the rule set has no title", "add 'title: ...'"),
    Bad("no thickness", "  thickness: 75 um\n", "", "3:1", "missing-key", "the foil has no thickness", "add 'thickness: 100 um' under 'foil:'", _BY_READER),
    Bad("half a sheet", "  height: 297 mm\n", "", "10:1", "missing-key", "the sheet has no height", "add 'height: 297 mm'", _BY_READER),
    Bad("no limits at all", SOUND[SOUND.index("  area-ratio") :], "  corner-radius:\n", "13:1", "missing-key", "no rule has a limit, so nothing would be judged", "set limits", _BY_READER),
    # types
    Bad("text for a section", "sheet:\n  width: 210 mm\n  height: 297 mm", "sheet: A4", "10:8", "bad-value", "expected 'sheet' with names and values, got 'A4'", "indent them"),
    Bad("list for a rule", "  powder-fit:\n    powder-type: 4", "  powder-fit:\n    - 4", "29:5", "bad-value", "expected 'powder-fit' with limits, got a list", "indent them"),
    Bad("number for a rule", "  powder-fit:\n    powder-type: 4", "  powder-fit: 4", "28:15", "bad-value", "expected 'powder-fit' with limits, got '4'", "indent them"),
    Bad("list for a foil", "foil:\n  name: polyester film\n  material: polyester\n  thickness: 75 um", "foil: [polyester, 75 um]", "3:7", "bad-value", "expected 'foil' with names and values, got a list", "indent them"),
    Bad("fraction for a whole number", "powder-type: 4", "powder-type: 4.5", "29:18", "bad-value", "expected a whole number, such as '4', got '4.5'", "digits only"),
    Bad("empty title", "title: a sheet of mine", "title: ''", "1:8", "bad-value", "expected a text, got nothing", "write a line of text"),
    Bad("escape in a title", "title: a sheet of mine", r'title: "\e[31mred"', "1:8", "bad-value", "expected letters and signs that can be printed", "write a line of text", _BY_READER),
    Bad("unsafe direction in a title", "title: a", r'title: "\u202ea', "1:8", "not-yaml", "cannot be read as YAML from here on", "an open quote", _BY_READER),
    # values that a check refuses
    Bad("table of one number", "{0.5: 0.6, 0.66: 0.8}", "0.8", "27:26", "bad-value", "expected pairs of numbers, got '0.8'", "write {0.5: 0.6, 0.66: 0.8}"),
    Bad("empty table", "{0.5: 0.6, 0.66: 0.8}", "{}", "27:26", "bad-value", "expected pairs of numbers", "write {0.5: 0.6, 0.66: 0.8}"),
    Bad("table with a unit", "{0.5: 0.6, 0.66: 0.8}", "{0.5 mm: 0.6}", "27:27", "bad-value", "expected a number without a unit", _PLAIN),
    Bad("table with a word", "{0.5: 0.6, 0.66: 0.8}", "{0.5: good}", "27:32", "bad-value", "expected a number without a unit", _PLAIN),
    Bad("table beyond what can be", "{0.5: 0.6, 0.66: 0.8}", "{0.5: 6}", "27:26", "bad-value", "'deposit-volume': expected transfer efficiencies from 0 to 1.5", "pastecheck explain deposit-volume", _BY_READER),
    Bad("table of one ratio written twice", "{0.5: 0.6, 0.66: 0.8}", "{0.5: 0.6, 0.50: 0.8}", "27:26", "bad-value", "'deposit-volume': expected area ratios in ascending order, each once", "pastecheck explain deposit-volume", _BY_READER),
    Bad("powder that does not exist", "powder-type: 4", "powder-type: 9", "29:18", "bad-value", "'powder-fit': ", "pastecheck explain powder-fit", _BY_READER),
    # cutting
    Bad("speed without a unit", "20 mm/s", "20", "8:10", "bad-value", "expected a speed with its unit, such as '20 mm/s', got '20'", "one of mm/s, cm/s"),
    Bad("no speed", "20 mm/s", "0 mm/s", "8:10", "bad-value", "expected more than 0, got '0 mm/s'", "one of mm/s, cm/s", _BY_READER),
    Bad("no pass", "passes: 2", "passes: 0", "9:11", "bad-value", "expected 1 to 99 passes, got 0", "write how many", _BY_READER),
    Bad("very many passes", "passes: 2", "passes: 999999999", "9:11", "bad-value", "expected 1 to 99 passes", "write how many", _BY_READER),
    Bad("empty list of passes", "passes: 2", "passes: []", "9:11", "bad-value", "expected 1 to 99 passes, got 0", "write how many"),
    Bad("pass that says nothing", "passes: 2", "passes: [{}]", "9:12", "bad-value", "expected a pass, got a section", "{force: 80 gf, speed: 20 mm/s}"),
    Bad("force without a unit", "passes: 2", "passes: [{force: 80}]", "9:20", "bad-value", "expected a force with its unit, such as '80 gf', got '80'", "one of N, cN, gf"),
    Bad("unknown part of a pass", "passes: 2", "passes: [{pressure: 80 gf}]", "9:13", "unknown-key", "a pass takes no 'pressure'", "known here: force, power, speed"),
    Bad("list in the notes of a list", "passes: 2", "notes: [a, [b]]", "9:14", "bad-value", "expected one value, got a list", "write a line of text"),
    Bad("sheet that cannot be cut", "210 mm", "21 mm\n  unusable: 10.5 mm", "10:1", "bad-value", "nothing of the sheet can be cut", "check the three lengths", _BY_READER),
    Bad("scale that is no factor", "passes: 2", "scale-x: 100", "9:12", "bad-value", "expected a factor from 0.9 to 1.1, got '100'", "100 over what a line of 100 mm comes out as", _BY_READER),
    Bad("scale with a unit", "passes: 2", "scale-y: 1.002 mm", "9:12", "bad-value", "expected a number without a unit", "100 over what a line of 100 mm comes out as"),
    Bad("scale of nothing", "passes: 2", "scale-x: 0", "9:12", "bad-value", "expected a factor from 0.9 to 1.1, got '0'", "100 over what a line of 100 mm comes out as", _BY_READER),
    # outlines
    Bad("overcut that harms webs", "cutting:", "outlines: {overcut: 0.06 mm}\ncutting:", "7:21", "bad-value", "expected at most 0.050 mm, got '0.06 mm'", _LENGTH, _BY_READER),
    Bad("overcut without a unit", "cutting:", "outlines: {overcut: 0.05}\ncutting:", "7:21", "bad-value", "expected a length with its unit, such as '0.2 mm', got '0.05'", _LENGTH),
    Bad("coupon that is no truth", "cutting:", "outlines: {coupon: below}\ncutting:", "7:20", "bad-value", "expected true or false, got 'below'", "small letters"),
    Bad("unknown field of outlines", "cutting:", "outlines: {kerf: 0.1 mm}\ncutting:", "7:12", "unknown-key", "a file of outlines takes no 'kerf'", "known here: overcut, hop, margin, coupon, marks, frame"),
    # trim
    Bad("list for trim", SOUND[SOUND.index("trim:") :], "trim: [rows]\n", "30:7", "bad-value", "expected 'trim' with names and values, got a list", "indent them"),
    Bad("unknown entry", "  rows:", "  rowz:", "31:3", "unknown-key", "trim takes no 'rowz'", "did you mean 'rows'?"),
    Bad("entry that is a value", "  selected:", "  corners: 0.1 mm\n  selected:", "40:12", "bad-value", "expected 'corners' with names and values, got '0.1 mm'", "indent them"),
    Bad("unknown value of an entry", "gaps-below: 0.235 mm", "gaps-below: 0.235 mm\n    steps: 5 um", "35:5", "unknown-key", "'rows' takes no 'steps'", "did you mean 'step'?"),
    Bad("entry without a source", "    web: 0.40 mm\n    source: my notes\n", "    web: 0.40 mm\n", "36:3", "no-source", "'large' of trim names no source", "common practice, no source"),
    Bad("entry without a value that it needs", "    gap: 0.25 mm\n", "", "31:3", "missing-key", "'rows' of trim has no gap", "add 'gap: ...' to the entry"),
    Bad("share above 1", "coverage: 0.80", "coverage: 1.2", "37:15", "bad-value", "expected more than 0 and at most 1, got '1.2'", "an opening never grows", _BY_READER),
    Bad("no share at all", "coverage: 0.80", "coverage: 0", "37:15", "bad-value", "expected more than 0 and at most 1, got '0'", "an opening never grows", _BY_READER),
    Bad("share with a unit", "coverage: 0.80", "coverage: 80 %", "37:15", "bad-value", "expected a number without a unit", "write a share such as 0.9"),
    Bad("web of nothing", "web: 0.40 mm", "web: 0 mm", "38:10", "bad-value", "expected more than 0, got '0 mm'", _LENGTH, _BY_READER),
    Bad("panes without a web", "    web: 0.40 mm\n", "", "38:13", "missing-key", "'large' of trim has no web", "the rule thermal-coverage", _BY_READER),
    Bad("truth that is none", "web: 0.40 mm", "only-if-asked: maybe", "38:20", "bad-value", "expected true or false, got 'maybe'", "write it in small letters"),
    Bad("failed check that does not exist", "component: SH*", "failed: web-with", "42:15", "unknown-key", "no check is named 'web-with'", "did you mean 'web-width'?", _BY_READER),
    Bad("unknown condition", "component: SH*", "part: SH*", "42:7", "unknown-key", "'shields' takes no 'part'", "known here: "),
    Bad("step that is none", "gaps-below: 0.235 mm", "gaps-below: 0.235 mm\n    step: 0.3 mm", "35:11", "bad-value", "expected at most 0.100 mm, got '0.3 mm'", _LENGTH, _BY_READER),
    Bad("selected that changes nothing", "      inset: 0.05 mm\n", "", "41:5", "missing-key", "'shields' of trim changes nothing", "add 'inset: ...' or 'area-share: ...'", _BY_READER),
    Bad("selected that asks for two changes", "inset: 0.05 mm", "inset: 0.05 mm\n      area-share: 0.9", "44:7", "bad-value", "'shields' of trim has an inset and a share of the area as well", "leave out one", _BY_READER),
    Bad("selected that fits nothing", "component: SH*", "wider-than: 2 mm\n      narrower-than: 1 mm", "42:19", "bad-value", "'shields' of trim fits no opening: wider-than is not below narrower-than", "change one", _BY_READER),
    Bad("selected value without a name", "    shields:\n      component: SH*\n      inset: 0.05 mm\n      source: my notes\n", "    inset: 0.05 mm\n", "41:12", "bad-value", "expected 'inset' with names and values, got '0.05 mm'", "indent them"),
    # extends
    Bad("unknown set", "cutter:", "extends: a-set\ncutter:", "2:10", "bad-extends", "no rule set is named 'a-set'", "pastecheck rules lists those that ship", _BY_READER),
    Bad("set with a near name", "cutter:", "extends: polyester-57-knife\ncutter:", "2:10", "bad-extends", "no rule set is named 'polyester-57-knife'", "did you mean 'polyester-75-knife'?", _BY_READER),
    Bad("missing file", "cutter:", "extends: none.yaml\ncutter:", "2:10", "bad-extends", "there is no file 'none.yaml' to extend", "taken from the folder of this file", _BY_READER),
    Bad("itself", "cutter:", "extends: mine.yaml\ncutter:", "2:10", "bad-extends", "a rule set cannot extend itself", "name another", _BY_READER),
    Bad("itself by a detour", "cutter:", "extends: ./below/.././mine.yaml\ncutter:", "2:10", "bad-extends", "'./below/.././mine.yaml' leads out of the folder", "a file in the folder of this one", _BY_READER),
    Bad("out of the folder", "cutter:", "extends: ../other.yaml\ncutter:", "2:10", "bad-extends", "'../other.yaml' leads out of the folder", "a file in the folder of this one", _BY_READER),
    Bad("out of the folder of a base", "cutter:", "extends: base/../../x.yaml\ncutter:", "2:10", "bad-extends", "'base/../../x.yaml' leads out of the folder", "a file in the folder of this one", _BY_READER),
    Bad("absolute path", "cutter:", "extends: /etc/passwd\ncutter:", "2:10", "bad-extends", "'/etc/passwd' leads out of the folder", "a file in the folder of this one", _BY_READER),
    Bad("path with a drive", "cutter:", "extends: 'C:\\rules\\mine.yaml'\ncutter:", "2:10", "bad-extends", r"'C:\\rules\\mine.yaml' leads out of the folder", "a file in the folder of this one", _BY_READER),
    Bad("path from home", "cutter:", "extends: ~/mine.yaml\ncutter:", "2:10", "bad-extends", "'~/mine.yaml' leads out of the folder", "a file in the folder of this one", _BY_READER),
    Bad("address of a server", "cutter:", "extends: https://example.org/mine.yaml\ncutter:", "2:10", "bad-extends", "'https://example.org/mine.yaml' leads out of the folder", "a file in the folder of this one", _BY_READER),
    Bad("shipped set by its file", "cutter:", "extends: rules/polyester-75-knife.yaml\ncutter:", "2:10", "bad-extends", "there is no file 'rules/polyester-75-knife.yaml' to extend", "the one that ships is named 'polyester-75-knife'", _BY_READER),
    Bad("escape in extends, and no foil", SOUND, 'title: mine\nextends: "a\\e.yaml"\n', "2:10", "bad-value", "expected letters and signs that can be printed", "write a line of text", _BY_READER),
    Bad("empty extends", "cutter:", "extends:\ncutter:", "2:9", "bad-value", "expected a text, got nothing", "write a line of text"),
    Bad("list of nothing", "cutter:", "extends: []\ncutter:", "2:10", "bad-value", "the list of what is extended is empty", "or leave 'extends' out"),
    Bad("very many", "cutter:", f"extends: [{', '.join('a' * 16)}]\ncutter:", "2:10", "bad-extends", "a rule set made of more than 16 files", "extend fewer"),
    Bad("section for extends", "cutter:", "extends: {name: a}\ncutter:", "2:10", "bad-value", "expected one value, got a section", "write a line of text"),
    # what YAML can do
    Bad("anchor", "name: polyester film", "name: &a polyester film", "4:9", "refused-yaml", "anchors and aliases are not read here, got '&a'", "write the value out", _BY_READER),
    Bad("alias", "name: polyester film", "name: *a", "4:9", "refused-yaml", "anchors and aliases are not read here, got '*a'", "write the value out", _BY_READER),
    Bad("alias bomb", SOUND, "a: &a [boom, boom]\nb: &b [*a, *a]\nc: &c [*b, *b]\nd: &d [*c, *c]\n", "1:4", "refused-yaml", "anchors and aliases are not read here, got '&a'", "write the value out", _BY_READER),
    Bad("merge key", "name: polyester film", "<<: {name: film}", "4:3", "refused-yaml", "merge keys are not read here", "a file that they extend", _BY_READER),
    Bad("tag that would run a program", "name: polyester film", "name: !!python/object/apply:os.system [ls]", "4:9", "refused-yaml", "tags are not read here", "remove it", _BY_READER),
    Bad("tag", "0.60", "!!float 0.60", "15:18", "refused-yaml", "tags are not read here", "remove it", _BY_READER),
    Bad("second document", "rules:", "---\nrules:", "13:1", "refused-yaml", "a second document begins here", "keep one", _BY_READER),
    Bad("deep nesting", "a sheet of mine", _DEEP, "1:15", "refused-yaml", "nested deeper than 8", "4 is all that is needed", _BY_READER),
    # what is no YAML, or no text
    Bad("tab", "  name: polyester film", "\tname: polyester film", "4:1", "not-yaml", "a tab stands in the indentation", "indent with spaces", _BY_READER),
    Bad("odd indentation", "  name: polyester film", "   name: polyester film", "5:3", "not-yaml", "cannot be read as YAML from here on", "odd indentation", _BY_READER),
    Bad("open quote", "title: a sheet of mine", "title: 'a sheet of mine", "1:8", "not-yaml", "cannot be read as YAML from here on", "an open quote", _BY_READER),
    Bad("open bracket", "title: a sheet of mine", "title: [a sheet", "2:7", "not-yaml", "cannot be read as YAML from here on", "open quote or bracket", _BY_READER),
    Bad("second colon", "title: a sheet of mine", "title: a sheet: mine", "1:15", "not-yaml", "a second ':' in one line", "put a text that holds it in quotes", _BY_READER),
    Bad("sign that begins a text", "title: a sheet of mine", "title: @mine", "1:8", "not-yaml", "a text cannot begin with this sign", "put it in quotes", _BY_READER),
    Bad("missing colon", "cutter: drag knife", "cutter drag knife", "2:1", "not-yaml", "a name without ':'", "write 'name: value'", _BY_READER),
    Bad("NUL", "a sheet of mine", "a\0", "1:9", "not-yaml", "the character U+0000 cannot stand here", "remove it", _BY_READER),
    Bad("byte order mark within", "a sheet of mine", "a\ufeff", "1:9", "not-yaml", "the character U+FEFF cannot stand here", "remove it", _BY_READER),
    Bad("empty", SOUND, "", "", "missing-key", "the file is empty", "write at least title, foil and rules", _BY_READER),
    Bad("only a comment", SOUND, "# to be written\n", "", "missing-key", "the file is empty", "write at least title, foil and rules", _BY_READER),
    Bad("list at the top", SOUND, "- title\n- foil\n", "1:1", "bad-value", "expected names with values, got a list", "begin with 'title: ...'"),
    Bad("text at the top", SOUND, "polyester\n", "1:1", "bad-value", "expected names with values, got 'polyester'", "begin with 'title: ...'"),
    Bad("huge", SOUND, f"# {'x' * 300_000}\n", "", "rule-set", "the file is larger than 256 KiB", "is it the right file?", _BY_READER),
]  # fmt: skip

NOT_TEXT: Final[Mapping[str, tuple[bytes, str]]] = {
    "Latin-1": (SOUND.replace("drag knife", "drag kn\u00edfe").encode("latin-1"), "2:16"),
    "UTF-16 with a byte order mark": (SOUND.encode("utf-16"), "1:1"),
    "a surrogate": (b"title: \xed\xa0\x80\n", "1:8"),
    "a picture": (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "1:1"),
}
"""Content, and the place of the first byte that is no UTF-8."""
