"""Broken rule sets: what is said about each, word for word, and where."""
# ruff: noqa: E501  a table is read by its rows

import os
import re
from itertools import pairwise
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import rulesets
from pastecheck.errors import RuleSetError
from pastecheck.rulesets import yamltree
from tests.rulesets.catalogue import CATALOGUE

SOUND = """\
title: a sheet of mine
cutter: drag knife
foil:
  name: polyester film
  material: polyester
  thickness: 75 um
rules:
  area-ratio:
    error-below: 0.60
    warn-below: 0.66
    source: my notes
  web-width:
    error-below: 0.17 mm
    warn-below: 9 mil
    source: my notes
"""

RATIO_HINT = "write a plain number, 0 or more, with a point for the decimals"
LENGTH_HINT = "write a number, 0 or more, with a point for the decimals, and one of mm, um, mil, in"
TEXT_HINT = "write a line of text; in quotes where it holds a colon"
YAML_HINT = "look here and just above for an open quote or bracket, a missing colon, or odd indentation"
SOURCE_HINT = "add where they come from, 'source: ...'; a habit is 'common practice, no source'"
INDENT_HINT = "indent them on the lines below"

# What of the sound rule set is replaced by what, and the complaint about it: line, column, text and hint.
ONE_COMPLAINT = [
    # lengths and ratios
    ("thickness: 75 um", "thickness: 75", f"6:14: expected a length with its unit, such as '0.2 mm', got '75' ({LENGTH_HINT})"),
    ("thickness: 75 um", "thickness: 75 gauge", f"6:14: expected a length with its unit, such as '0.2 mm', got '75 gauge' ({LENGTH_HINT})"),
    ("thickness: 75 um", "thickness: 0,075 mm", f"6:14: expected a length with its unit, such as '0.2 mm', got '0,075 mm' ({LENGTH_HINT})"),
    ("thickness: 75 um", "thickness: 0.075 um", f"6:14: expected a thickness from 0.005 mm to 5 mm, got '0.075 um' ({LENGTH_HINT})"),
    ("thickness: 75 um", "thickness:", f"6:13: expected a length with its unit, such as '0.2 mm', got nothing ({LENGTH_HINT})"),
    ("thickness: 75 um", "thickness: [75 um]", f"6:14: expected one value, got a list ({LENGTH_HINT})"),
    ("error-below: 0.17 mm", "error-below: 0.17", f"13:18: expected a length with its unit, such as '0.2 mm', got '0.17' ({LENGTH_HINT})"),
    ("error-below: 0.17 mm", "error-below: 0.02 mm2", f"13:18: expected a length with its unit, such as '0.2 mm', got '0.02 mm2' ({LENGTH_HINT})"),
    ("error-below: 0.17 mm", "error-below: -0.17 mm", f"13:18: expected a length with its unit, such as '0.2 mm', got '-0.17 mm' ({LENGTH_HINT})"),
    ("error-below: 0.17 mm", "error-below: {mm: 0.17}", f"13:18: expected one value, got a section of its own ({LENGTH_HINT})"),
    ("error-below: 0.60", "error-below: 0.60 mm", f"9:18: expected a number without a unit, such as '0.66', got '0.60 mm' ({RATIO_HINT})"),
    ("error-below: 0.60", "error-below: 60 %", f"9:18: expected a number without a unit, such as '0.66', got '60 %' ({RATIO_HINT})"),
    ("error-below: 0.60", "error-below: .nan", f"9:18: expected a number without a unit, such as '0.66', got '.nan' ({RATIO_HINT})"),
    ("error-below: 0.60", "error-below: -.inf", f"9:18: expected a number without a unit, such as '0.66', got '-.inf' ({RATIO_HINT})"),
    ("error-below: 0.60", "error-below: -0.60", f"9:18: expected a number without a unit, such as '0.66', got '-0.60' ({RATIO_HINT})"),
    ("error-below: 0.60", "error-below: 6e-1", f"9:18: expected a number without a unit, such as '0.66', got '6e-1' ({RATIO_HINT})"),
    ("error-below: 0.60", "error-below: yes", f"9:18: expected a number without a unit, such as '0.66', got 'yes' ({RATIO_HINT})"),
    # limits that contradict
    ("warn-below: 0.66", "warn-below: 0.55", "10:17: a warning below 0.55 can never show: below 0.60 is an error already (set warn-below above error-below, or leave it out)"),
    ("warn-below: 0.66", "warn-below: 0.6", "10:17: a warning below 0.60 can never show: below 0.60 is an error already (set warn-below above error-below, or leave it out)"),
    ("warn-below: 9 mil", "warn-below: 6.69 mil", "14:17: a warning below 0.1699 mm can never show: below 0.1700 mm is an error already (set warn-below above error-below, or leave it out)"),
    # names
    ("title: a", "titel: a", "1:1: a rule set takes no 'titel' (did you mean 'title'?)"),
    ("cutter: drag", "knife: drag", "2:1: a rule set takes no 'knife' (known here: title, extends, cutter, foil, sheet, cutting, outlines, rules, trim)"),
    ("material: p", "materiel: p", "5:3: a foil takes no 'materiel' (did you mean 'material'?)"),
    ("area-ratio:", "area-ration:", "8:3: no check is named 'area-ration' (did you mean 'area-ratio'?)"),
    ("area-ratio:", "solder:", "8:3: no check is named 'solder' (known here: area-ratio, web-width, film-island, deposit-volume, pitch-fraction)"),
    ("warn-below: 0.66", "warn-bellow: 0.66", "10:5: 'area-ratio' takes no 'warn-bellow' (did you mean 'warn-below'?)"),
    ("warn-below: 0.66", "overcut: 0.05 mm", "10:5: 'area-ratio' takes no 'overcut' (known here: error-below, warn-below, source)"),
    ("warn-below: 0.66", "warn-above: 0.66", "10:5: 'area-ratio' takes no 'warn-above' (it gets worse below a limit: error-below and warn-below can be set)"),
    ("warn-below: 0.66", "error-below: 0.66", "10:5: 'error-below' stands here a second time (the first is in line 9; keep one of them)"),
    ("web-width:", "area-ratio:", "12:3: 'area-ratio' stands here a second time (the first is in line 8; keep one of them)"),
    ("area-ratio:", "[a, b]:", "8:3: expected a name, got a list (write 'name: value')"),
    ("area-ratio:", '"a\\eb":', r"8:3: no check is named 'a\x1bb' (known here: area-ratio, web-width, film-island, deposit-volume, pitch-fraction)"),
    ("area-ratio:", f"{'x' * 70}:", f"8:3: no check is named '{'x' * 57}...' (known here: area-ratio, web-width, film-island, deposit-volume, pitch-fraction)"),
    # texts and sources
    ("title: a sheet of mine", "title:", f"1:7: expected a text, got nothing ({TEXT_HINT})"),
    ("title: a sheet of mine", "title: ''", f"1:8: expected a text, got nothing ({TEXT_HINT})"),
    ("title: a sheet of mine", r'title: "\e[31mred"', rf"1:8: expected letters and signs that can be printed, got '\x1b[31mred' ({TEXT_HINT})"),
    ("title: a sheet of mine", "title: a sheet: mine", "1:15: a second ':' in one line (put a text that holds it in quotes, and a space after the ':' of a name)"),
    ("    source: my notes\n  web", "  web", f"8:3: the limits of 'area-ratio' name no source ({SOURCE_HINT})"),
    ("    error-below: 0.60\n    warn-below: 0.66\n", "", "9:5: 'area-ratio' has a source but no limits (a source belongs to limits: set them beside it, or leave it out)"),
    # sections
    ("  thickness: 75 um\n", "", "3:1: the foil has no thickness (add 'thickness: 100 um' under 'foil:')"),
    ("foil:\n  name: polyester film\n  material: polyester\n  thickness: 75 um", "foil: polyester", f"3:7: expected 'foil' with names and values, got 'polyester' ({INDENT_HINT})"),
    ("    error-below: 0.60\n    warn-below: 0.66\n    source: my notes\n", "    - 0.60\n", f"9:5: expected 'area-ratio' with limits, got a list ({INDENT_HINT})"),
    ("area-ratio:\n    error-below: 0.60\n    warn-below: 0.66\n    source: my notes", "area-ratio: 0.66", f"8:15: expected 'area-ratio' with limits, got '0.66' ({INDENT_HINT})"),
    (SOUND[SOUND.index("  area") :], "", "7:1: no rule has a limit, so nothing would be judged (set limits under 'rules:')"),
    (SOUND[SOUND.index("rules:") :], "", "1:1: no rule has a limit, so nothing would be judged (set limits under 'rules:')"),
    # what YAML can do and we do not want
    ("name: polyester film", "name: &a polyester film", "4:9: anchors and aliases are not read here, got '&a' (write the value out where it belongs)"),
    ("name: polyester film", "name: *a", "4:9: anchors and aliases are not read here, got '*a' (write the value out where it belongs)"),
    ("name: polyester film", "<<: polyester film", "4:3: merge keys are not read here, got '<<' (write the values out; what several rule sets share goes into a file that they extend)"),
    ("name: polyester film", "name: !!python/object:os.system x", "4:9: tags are not read here, got 'tag:yaml.org,2002:python/object:os.system' (remove it)"),
    ("  name: polyester film", "\tname: polyester film", "4:1: a tab stands in the indentation (indent with spaces)"),
    ("  name: polyester film", "   name: polyester film", f"5:3: cannot be read as YAML from here on ({YAML_HINT})"),
    ("title: a sheet of mine", "title: 'a sheet of mine", f"1:8: cannot be read as YAML from here on ({YAML_HINT})"),
    ("title: a sheet of mine", "title: [a sheet", f"2:7: cannot be read as YAML from here on ({YAML_HINT})"),
    ("rules:", "---\nrules:", "7:1: a second document begins here (keep one, without '---' between)"),
    ("title: a sheet of mine", f"title: {'[' * 9}{']' * 9}", "1:15: nested deeper than 8 (4 is all that is needed)"),
    ("title: a sheet of mine", f"title: {'[' * 900}", "1:15: nested deeper than 8 (4 is all that is needed)"),
    ("title: a sheet of mine", "title: a\x07", "1:9: the character U+0007 cannot stand here (remove it)"),
    ("title: a sheet of mine", "title: a\ufeff", "1:9: the character U+FEFF cannot stand here (remove it)"),
    (SOUND, "", " the file is empty (write at least title, foil and rules)"),
    (SOUND, "# nothing but a comment\n", " the file is empty (write at least title, foil and rules)"),
    (SOUND, "- a\n- b\n", "1:1: expected names with values, got a list (begin with 'title: ...')"),
    (SOUND, "polyester", "1:1: expected names with values, got 'polyester' (begin with 'title: ...')"),
    (SOUND, f"# {'x' * 256 * 1024}\n", " the file is larger than 256 KiB (is it the right file?)"),
    # extends
    ("cutter:", "extends: a-set\ncutter:", "2:10: no rule set is named 'a-set' (a file of your own ends in .yaml; pastecheck rules lists those that ship)"),
    ("cutter:", "extends: polyester-57-knife\ncutter:", "2:10: no rule set is named 'polyester-57-knife' (a file of your own ends in .yaml; did you mean 'polyester-75-knife'?)"),
    ("cutter:", "extends: none.yaml\ncutter:", "2:10: there is no file 'none.yaml' to extend (the path is taken from the folder of this file)"),
    ("cutter:", "extends: ..\\none\ncutter:", r"2:10: '..\\none' leads out of the folder of the rule set (name a set that ships, or a file in the folder of this one or below, such as base.yaml)"),
    ("cutter:", f"extends: ./{'x' * 300}\ncutter:", f"2:10: there is no file './{'x' * 55}...' to extend (the path is taken from the folder of this file)"),
    ("cutter:", "extends: [a.yaml, [b]]\ncutter:", "2:11: there is no file 'a.yaml' to extend (the path is taken from the folder of this file)", f"2:19: expected one value, got a list ({TEXT_HINT})"),
    # sheet and cutting
    ("cutter:", "sheet: {width: 210 mm}\ncutter:", "2:1: the sheet has no height (add 'height: 297 mm' under 'sheet:')"),
    ("cutter:", "sheet: {width: 21 mm, height: 297 mm, unusable: 10.5 mm}\ncutter:", "2:1: nothing of the sheet can be cut: twice its unusable edge is no less than a side (check the three lengths)"),
    ("cutter:", "sheet: {width: 210 mm, height: 297 mm, margin: 5 mm}\ncutter:", "2:40: a sheet takes no 'margin' (known here: width, height, unusable)"),
    ("cutter:", "cutting: {speed: 0 mm/s}\ncutter:", "2:18: expected more than 0, got '0 mm/s' (write a number, 0 or more, with a point for the decimals, and one of mm/s, cm/s)"),
    ("cutter:", "cutting: {speed: 20}\ncutter:", "2:18: expected a speed with its unit, such as '20 mm/s', got '20' (write a number, 0 or more, with a point for the decimals, and one of mm/s, cm/s)"),
    ("cutter:", "cutting: {speed: 20 mm/s, passes: 0}\ncutter:", "2:35: expected 1 to 99 passes, got 0 (write how many, or a list of passes, such as - {force: 80 gf})"),
    ("cutter:", "extends: ./mine.yaml\ncutter:", "2:10: a rule set cannot extend itself (name another, or leave this out)"),
]  # fmt: skip

SETTINGS = """\
title: a sheet of mine
foil: {name: film, material: polyester, thickness: 75 um}
rules:
  pitch-fraction:
    error-above: 0.74
    warn-above: 0.57
    source: my notes
    gaps-below: 0.235 mm
  deposit-volume:
    warn-below: 0.01 mm3
    warn-above: 0.02 mm3
    source: my notes
"""

ONE_COMPLAINT_ABOUT_SETTINGS = [
    ("gaps-below: 0.235 mm", "gaps-below: 0.235", f"8:17: expected a length with its unit, such as '0.2 mm', got '0.235' ({LENGTH_HINT})"),
    ("gaps-below: 0.235 mm", "gaps-bellow: 0.235 mm", "4:3: 'pitch-fraction' needs 'gaps-below' (add 'gaps-below: ...' to the rule)", "8:5: 'pitch-fraction' takes no 'gaps-bellow' (did you mean 'gaps-below'?)"),
    ("0.235 mm", "0.235 mm\n    window: 1 mm", "9:13: expected an area with its unit, such as '0.05 mm2', got '1 mm' (write a number, 0 or more, with a point for the decimals, and one of mm2, mil2, in2)"),
    ("0.235 mm", "0.235 mm\n    share: -1", f"9:12: expected a number without a unit, such as '0.66', got '-1' ({RATIO_HINT})"),
    ("0.235 mm", "0.235 mm\n    share: 2", "9:12: 'pitch-fraction': share must be 0 to 1, got 2.0 (see 'pastecheck explain pitch-fraction')"),
    ("0.235 mm", "0.235 mm\n    powder-type: 4.5", "9:18: expected a whole number, such as '4', got '4.5' (write digits only)"),
    ("0.235 mm", "0.235 mm\n    efficiency: 0.8", "9:17: expected pairs of numbers, got '0.8' (write {0.5: 0.6, 0.66: 0.8})"),
    ("0.235 mm", "0.235 mm\n    efficiency: {0.5: x}", f"9:23: expected a number without a unit, such as '0.66', got 'x' ({RATIO_HINT})"),
    ("0.235 mm", "0.235 mm\n    thermal: yes", "9:14: expected true or false, got 'yes' (write it in small letters)"),
    ("warn-above: 0.57", "warn-above: 0.80", "6:17: a warning above 0.80 can never show: above 0.74 is an error already (set warn-above below error-above, or leave it out)"),
    ("warn-above: 0.02 mm3", "warn-above: 0.01 mm3", "11:17: nothing can pass: warn-below is 0.01000 mm3, and warn-above is 0.01000 mm3 (set warn-above above warn-below)"),
    ("warn-above: 0.02 mm3", "warn-above: 0.02 mm2", "11:17: expected a volume with its unit, such as '0.03 mm3', got '0.02 mm2' (write a number, 0 or more, with a point for the decimals, and one of mm3, mil3, in3)"),
]  # fmt: skip


def _numbered(cases: list[tuple[str, ...]]) -> list[str]:
    return [f"{number} {case[2][:40]}" for number, case in enumerate(cases, 1)]


@pytest.fixture(params=[yaml.SafeLoader, yaml.CSafeLoader], ids=["without libyaml", "with libyaml"])
def _either_loader(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Complaints must not depend on whether PyYAML came with its C library."""
    monkeypatch.setattr(yamltree, "_Loader", request.param)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def _complaints(content: str | bytes) -> list[str]:
    """What is said about a rule set, a line each, less file name and code."""
    data = content.encode() if isinstance(content, str) else content
    Path("mine.yaml").write_bytes(data)
    with pytest.raises(RuleSetError) as caught:
        rulesets.load("mine.yaml", CATALOGUE)
    lines = str(caught.value).splitlines()
    return [re.sub(r"error\[[a-z-]+\]: ", "", line.removeprefix("mine.yaml:")) for line in lines]


@pytest.mark.usefixtures("here", "_either_loader")
@pytest.mark.parametrize("case", ONE_COMPLAINT, ids=_numbered(ONE_COMPLAINT))
def test_a_broken_rule_set_is_told_what_is_wrong_where_and_what_to_do(case: tuple[str, ...]) -> None:
    old, new, *said = case
    assert SOUND.count(old) >= 1
    assert _complaints(SOUND.replace(old, new, 1)) == said


@pytest.mark.usefixtures("here")
@pytest.mark.parametrize("case", ONE_COMPLAINT_ABOUT_SETTINGS, ids=_numbered(ONE_COMPLAINT_ABOUT_SETTINGS))
def test_settings_of_a_check_are_held_to_their_types(case: tuple[str, ...]) -> None:
    old, new, *said = case
    assert SETTINGS.count(old) == 1
    assert _complaints(SETTINGS.replace(old, new)) == said


@pytest.mark.usefixtures("here")
def test_both_sound_rule_sets_of_these_tables_are_read() -> None:
    for content in (SOUND, SETTINGS):
        Path("mine.yaml").write_text(content, encoding="utf-8")
        assert rulesets.load("mine.yaml", CATALOGUE).rules


@pytest.mark.usefixtures("here")
def test_bytes_that_are_not_utf8_are_refused_at_their_place() -> None:
    content = SOUND.replace("drag knife", "drag kn\u00edfe").encode("latin-1")
    assert _complaints(content) == ["2:16: byte 0xed is not UTF-8 (save the file as UTF-8)"]


@pytest.mark.usefixtures("here", "_either_loader")
def test_an_alias_bomb_is_refused_before_it_is_built() -> None:
    doubled = [
        f"{name}: &{name} [*{before}, *{before}]" for before, name in pairwise("abcdefghijklmnopqrstuvwxyz")
    ]
    said = _complaints("\n".join(["a: &a [boom]", *doubled]))
    hint = "write the value out where it belongs"
    assert said == [f"1:4: anchors and aliases are not read here, got '&a' ({hint})"]


@pytest.mark.usefixtures("here", "_either_loader")
def test_nesting_that_would_overflow_a_stack_is_refused() -> None:
    (said,) = _complaints(f"title: {'[' * 90_000}")  # the C library stops by itself, at another place
    assert said.startswith("1:")


@pytest.mark.usefixtures("here")
def test_all_complaints_come_at_once_in_the_order_of_the_file() -> None:
    content = SOUND.replace("75 um", "75").replace("0.66", "0.5").replace("web-width", "web-with")
    assert [line.split(": ")[0] for line in _complaints(content)] == ["6:14", "10:17", "12:3"]


def test_the_broken_fixture_gets_the_complaints_that_its_comments_announce(fixtures: Path) -> None:
    path = fixtures / "rulesets" / "broken.yaml"
    lines = path.read_text(encoding="utf-8").splitlines()
    announced = [number for number, line in enumerate(lines, 1) if "  # wrong:" in line]
    with pytest.raises(RuleSetError) as caught:
        rulesets.load(str(path))
    told = [caught.value.span.line, *(other.span.line for other in caught.value.others)]
    assert told == announced


@pytest.mark.usefixtures("here")
def test_a_missing_file_a_folder_and_a_pipe_are_refused() -> None:
    Path("folder.yaml").mkdir()
    os.mkfifo("pipe.yaml")
    hint = "check the path, and that you may read the file"
    for name, said in {
        "none.yaml": f"the file cannot be read: no such file or directory ({hint})",
        "folder.yaml": "this is a folder (give a .yaml file)",
        "pipe.yaml": "this is no ordinary file (give a .yaml file)",
    }.items():
        with pytest.raises(RuleSetError) as caught:
            rulesets.load(name)
        assert str(caught.value) == f"{name}: error[rule-set]: {said}"


def test_an_unknown_name_is_answered_with_the_nearest_that_ships() -> None:
    with pytest.raises(RuleSetError) as caught:
        rulesets.load("polyester-75")
    hint = "a file of your own ends in .yaml; did you mean 'polyester-75-knife'?"
    assert str(caught.value) == f"pastecheck: error[rule-set]: no rule set is named 'polyester-75' ({hint})"


@pytest.mark.usefixtures("here")
def test_sets_may_not_extend_each_other() -> None:
    Path("base.yaml").write_text(SOUND + "extends: mine.yaml\n", encoding="utf-8")
    what = "a rule set cannot extend 'mine.yaml', which extends this one"
    said = f"base.yaml:16:10: {what} (name another, or leave this out)"
    assert _complaints("title: t\nextends: base.yaml\n") == [said]


@pytest.mark.usefixtures("here")
def test_a_rule_set_is_made_of_at_most_16_files() -> None:
    for nth in range(20):
        Path(f"base{nth}.yaml").write_text(SOUND + f"extends: base{nth + 1}.yaml\n", encoding="utf-8")
    assert _complaints("title: t\nextends: base0.yaml\n") == [
        "base14.yaml:16:10: a rule set made of more than 16 files (extend fewer)"
    ]


@pytest.mark.usefixtures("here")
def test_complaints_about_the_extended_file_name_that_file() -> None:
    Path("sets").mkdir()
    Path("sets/base.yaml").write_text(SOUND.replace("75 um", "75"), encoding="utf-8")
    said = _complaints("title: t\nextends: sets/base.yaml\nrules: {web: {}}\n")
    assert [line.split(": ")[0] for line in said] == ["3:9", "sets/base.yaml:6:14"]


@given(st.one_of(st.binary(max_size=200), st.text(max_size=200).map(str.encode)))
def test_any_bytes_are_a_section_or_a_complaint(data: bytes) -> None:
    try:
        yamltree.read_section(data, "mine.yaml")
        said = "mine.yaml"
    except RuleSetError as told:
        said = str(told)
    assert said.startswith("mine.yaml")


@given(st.data())
def test_a_rule_set_with_any_piece_replaced_is_read_or_complained_about(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    start = data.draw(st.integers(0, len(SOUND)))
    end = data.draw(st.integers(start, min(start + 12, len(SOUND))))
    piece = data.draw(st.text(alphabet=" \n\t:-[]{}&*!|>'\"#%@,.0~?_mu\u00b5\x1b\u2028\u202e", max_size=6))
    path = tmp_path_factory.getbasetemp() / "piece.yaml"
    path.write_text(SOUND[:start] + piece + SOUND[end:], encoding="utf-8")
    try:
        rulesets.load(str(path), CATALOGUE)
        said = str(path)
    except RuleSetError as told:
        said = str(told)
    assert said.startswith(str(path))
    assert said.replace("\n", "").isprintable()
