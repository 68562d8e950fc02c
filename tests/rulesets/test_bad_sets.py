"""Each bad rule set of the catalogue gets one line, with its place and what to do; in bounded time."""

import re
import resource
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import rulesets
from pastecheck.errors import RuleSetError
from pastecheck.handbook import codes
from pastecheck.rulesets.schema import of_rule_sets
from pastecheck.rulesets.yamltree import MAX_KIB, MOST_TOLD
from tests.bad_files import Bad
from tests.cli.conftest import Run, run
from tests.rulesets.bad_sets import BAD_SETS, NOT_TEXT, SOUND
from tests.rulesets.written import as_an_editor_reads

__all__ = ["run"]

VALIDATOR = jsonschema.Draft202012Validator(of_rule_sets().schema)

every_bad_set = pytest.mark.parametrize("bad", BAD_SETS, ids=lambda bad: bad.what)


def test_there_are_enough_and_none_is_twice() -> None:
    assert len({bad.what for bad in BAD_SETS}) == len(BAD_SETS) >= 100
    assert len({bad.of(SOUND) for bad in BAD_SETS}) == len(BAD_SETS)


def test_the_sound_one_is_read_and_valid(run: Run) -> None:
    Path("mine.yaml").write_text(SOUND, encoding="utf-8")
    assert run("rules", "mine.yaml").status == 0
    VALIDATOR.validate(as_an_editor_reads(SOUND))


@every_bad_set
def test_a_bad_set_gets_one_line_with_its_place_and_what_to_do(run: Run, bad: Bad) -> None:
    Path("mine.yaml").write_bytes(bad.of(SOUND).encode())
    started = time.process_time()
    said = run("rules", "mine.yaml")
    assert time.process_time() - started < 2
    bad.is_told(said, "mine.yaml")


@pytest.mark.parametrize("name", NOT_TEXT)
def test_what_is_no_text_is_told_with_the_place_of_its_first_such_byte(run: Run, name: str) -> None:
    content, place = NOT_TEXT[name]
    Path("mine.yaml").write_bytes(content)
    said = run("rules", "mine.yaml")
    assert said.status == 2
    told = rf"mine\.yaml:{place}: error\[not-yaml\]: byte 0x[0-9a-f]{{2}} is not UTF-8 \(save .+ as UTF-8\)\n"
    assert re.fullmatch(told, said.err)


def test_a_check_is_refused_by_the_same_line(run: Run) -> None:
    Path("mine.yaml").write_text(SOUND.replace("75 um", "75"), encoding="utf-8")
    Path("paste.gbr").write_text("no layer, and not looked at\n", encoding="utf-8")
    said = run("check", "paste.gbr", "--rules", "mine.yaml")
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("mine.yaml:6:14: error[bad-value]: expected a length with its unit")


# ------------------------------------------------------------------------------------------ chains


@pytest.mark.parametrize(
    ("files", "line"),
    [
        (
            {"mine.yaml": "title: t\nextends: a.yaml\n", "a.yaml": "title: a\nextends: mine.yaml\n"},
            "a.yaml:2:10: error[bad-extends]: a rule set cannot extend 'mine.yaml', which extends this one (",
        ),
        (
            {"mine.yaml": "title: t\nextends: a.yaml\n", "a.yaml": f"{SOUND}extends: b.yaml\n"},
            "a.yaml:45:10: error[bad-extends]: there is no file 'b.yaml' to extend (",
        ),
        (
            {"mine.yaml": "title: t\nextends: a.yaml\n", "a.yaml": SOUND.replace("75 um", "75")},
            "a.yaml:6:14: error[bad-value]: expected a length with its unit",
        ),
        (
            {"mine.yaml": "title: t\nextends: a.yaml\n", "a.yaml": "a: [b\n"},
            "a.yaml:1:4: error[not-yaml]: cannot be read as YAML from here on (",
        ),
        (
            {"mine.yaml": "title: t\nextends: 0.yaml\n"}
            | {f"{n}.yaml": f"title: t\nextends: {n + 1}.yaml\n" for n in range(20)},
            "14.yaml:2:10: error[bad-extends]: a rule set made of more than 16 files (",
        ),
    ],
    ids=["in a circle", "missing further on", "bad further on", "no YAML further on", "too long"],
)
def test_what_is_wrong_further_on_is_told_of_the_file_where_it_stands(
    run: Run, files: dict[str, str], line: str
) -> None:
    for name, content in files.items():
        Path(name).write_text(content, encoding="utf-8")
    said = run("rules", "mine.yaml")
    assert said.status == 2
    assert said.err.count("\n") == 1
    assert said.err.startswith(line)


def test_of_very_many_complaints_only_some_are_told(run: Run) -> None:
    Path("mine.yaml").write_text("\n".join(f"key{n}: 1" for n in range(1000)), encoding="utf-8")
    said = run("rules", "mine.yaml")
    lines = said.err.splitlines()
    assert len(lines) == MOST_TOLD + 1
    assert lines[-1].startswith(f"mine.yaml: error[rule-set]: there are more than {MOST_TOLD} complaints")


# ------------------------------------------------------------------------------------------ bounds

_ROOM = MAX_KIB * 1024 - 200
HEAVY = {
    "unknown keys": "\n".join(f"k{n}:" for n in range(_ROOM // 8)),
    "unknown checks": "title: t\nrules:\n" + "\n".join(f"  a{n}:" for n in range(_ROOM // 10)),
    "unknown settings": "title: t\nrules:\n web-width:\n"
    + "\n".join(f"   s{n}:" for n in range(_ROOM // 11)),
    "unknown parts of passes": "title: t\ncutting:\n  passes:\n  - {"
    + ", ".join(f"p{n}: 1" for n in range(_ROOM // 12))
    + "}",
    "long name": f"title: t\n{'x' * 1000}: 1\nrules:\n  {'y' * 1000}:",
    "long text": f"title: {'x' * _ROOM}",
    "digits": f"title: t\nfoil: {{thickness: {'9' * _ROOM} mm}}",
    "aliases": "\n".join(["a: &a [x, x]", *(f"k{n}: &k{n} [*a, *a]" for n in range(_ROOM // 25))]),
    "brackets": f"title: {'[' * _ROOM}",
    "braces": f"title: {'{a: ' * (_ROOM // 4)}",
    "blocks": "\n".join(f"{' ' * n}a:" for n in range(600)),
    "dashes": f"title:\n{'- ' * (_ROOM // 2)}x",
    "documents": "---\n" * (_ROOM // 4),
    "quotes": "title: " + "'" * _ROOM,
    "folded": "title: >\n" + "  a\n" * (_ROOM // 4),
    "pairs": "title: t\nrules:\n  deposit-volume:\n    transfer-efficiency: {"
    + ", ".join(f"{n}: {n}" for n in range(_ROOM // 14))
    + "}",
    "notes": "title: t\ncutting:\n  notes: [" + ", ".join(["''"] * (_ROOM // 4)) + "]",
    "extends": "title: t\nextends: [" + ", ".join(["a"] * (_ROOM // 3)) + "]",
}

_LOAD = """
import resource, sys, time
from pastecheck import rulesets
from pastecheck.errors import RuleSetError
rulesets.load("polyester-75-knife")
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
for path in sys.argv[1:]:
    started = time.process_time()
    try:
        rulesets.load(path)
        told = "read"
    except RuleSetError as error:
        told = str(len(str(error).splitlines()))
    seconds = time.process_time() - started
    print(path, told, f"{seconds:.2f}", resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)
"""


@pytest.mark.slow
def test_no_file_takes_long_or_much_memory(tmp_path: Path, root: Path) -> None:
    for name, content in HEAVY.items():
        assert len(content) <= MAX_KIB * 1024, name
        (tmp_path / f"{name.replace(' ', '-')}.yaml").write_text(content, encoding="utf-8")
    files = sorted(str(path) for path in tmp_path.iterdir())
    done = subprocess.run(
        [sys.executable, "-c", _LOAD, *files],
        cwd=root,
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (120, 120)),
    )
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.splitlines()) == len(HEAVY)
    for line in done.stdout.splitlines():
        _, told, seconds, more_kib = line.rsplit(" ", 3)
        assert told != "read", line
        assert int(told) <= MOST_TOLD + 1, line
        assert float(seconds) < 5, line
        assert int(more_kib) < 300 * 1024, line


# ------------------------------------------------------------------------------------------ schema


@every_bad_set
def test_the_schema_refuses_what_a_schema_can_tell(bad: Bad) -> None:
    try:
        read = as_an_editor_reads(bad.of(SOUND))
    except (yaml.YAMLError, ValueError, TypeError):
        assert not bad.by_schema
        return
    whole = {"refused-yaml", "missing-key", "rule-set"}  # a schema may tell of an empty file, and need not
    assert VALIDATOR.is_valid(read) != bad.by_schema or (not bad.by_schema and bad.code in whole)


# ------------------------------------------------------------------------------------------ codes


def test_every_code_is_in_the_catalogue_and_explained(run: Run) -> None:
    from pastecheck.rulesets.codes import DOCUMENTATION

    met = {bad.code for bad in BAD_SETS}
    assert met == {*DOCUMENTATION, RuleSetError.default_code}
    for code in met:
        assert code in codes()
        said = run("explain", code)
        assert said.status == 0
        assert said.out.startswith(f"{code}\n  means: ")


# ------------------------------------------------------------------------------------------ any damage

PIECES = st.one_of(
    st.text(alphabet=" \n\t:-[]{}&*!|>'\"#%@,.0~?_<\u00b5\x1b\u2028\u202e", max_size=6),
    st.sampled_from([bad.new for bad in BAD_SETS if len(bad.new) < 400]),
    st.sampled_from(SOUND.splitlines(keepends=True)),
)


@st.composite
def damaged(draw: st.DrawFn) -> str:
    """The sound rule set with up to three pieces replaced by others."""
    content = SOUND
    for _ in range(draw(st.integers(1, 3))):
        start = draw(st.integers(0, len(content)))
        end = draw(st.integers(start, min(start + 40, len(content))))
        content = content[:start] + draw(PIECES) + content[end:]
    return content


@given(damaged())
def test_a_damaged_set_is_read_or_told_line_by_line(
    tmp_path_factory: pytest.TempPathFactory, content: str
) -> None:
    path = tmp_path_factory.getbasetemp() / "damaged.yaml"
    path.write_bytes(content.encode("utf-8", "surrogatepass"))
    try:
        rulesets.load(str(path))
    except RuleSetError as told:
        for line in str(told).splitlines():
            assert re.fullmatch(r"[^\n]+?(:\d+:\d+)?: error\[[a-z-]+\]: [^\n]+ \([^\n]+\)", line), line
        return
    # what the reader takes, the schema takes, but for a name that YAML takes for a number
    VALIDATOR.validate(_named(as_an_editor_reads(content.removeprefix("\ufeff"))))


def _named(read: object) -> object:
    """The same with names as texts, as JSON has them."""
    if isinstance(read, dict):
        return {str(name): _named(one) for name, one in read.items()}
    return [_named(one) for one in read] if isinstance(read, list) else read
