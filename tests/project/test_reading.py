"""Whatever stands in a project file, it is read, or refused with a place in it."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pastecheck.errors import RuleSetError
from pastecheck.project import read_project
from tests.project.bad_projects import SOUND

PIECES = (
    *(
        "",
        ":",
        "-",
        "\n",
        "  ",
        "[",
        "]",
        "{",
        "}",
        "'",
        '"',
        "#",
        "\0",
        "\t",
        "\x1b",
        "&a",
        "*a",
        "!!x",
        "~",
    ),
    *(
        "rules",
        "layers: ",
        "waivers: ",
        "reports: ",
        "limits: ",
        "- file: ",
        "at: [",
        "mm",
        "1e999",
        "-1",
        "yes",
    ),
    *("web-width", "fingerprint: ", "until: ", "down-to: ", "component: ", "../", "top.gbr", "\U0001f4a1"),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The files that the sound one names."""
    folder = tmp_path_factory.mktemp("project")
    for name in ("top.gbr", "bottom.gbr", "copper.gbr", "known.json"):
        (folder / name).touch()
    return folder


@settings(deadline=None)
@given(
    cuts=st.lists(
        st.tuples(st.integers(0, len(SOUND)), st.integers(0, 30), st.sampled_from(PIECES)),
        min_size=1,
        max_size=4,
    )
)
def test_a_damaged_file_is_read_or_refused_with_its_place(
    folder: Path, cuts: list[tuple[int, int, str]]
) -> None:
    text = SOUND
    for at, length, piece in cuts:
        text = text[:at] + piece + text[at + length :]
    path = folder / "pastecheck.yaml"
    path.write_text(text, encoding="utf-8")
    try:
        project = read_project(path.as_posix())
    except RuleSetError as problem:
        every = [problem, *problem.others]
        assert {one.span.path for one in every} == {path.as_posix()}
        assert all(one.hint for one in every)
    else:
        assert project.layers
        assert all(one.reason for one in project.waivers)


@pytest.mark.parametrize("name", ["rules", "layers", "limits", "waivers", "reports", "known", "fail-on"])
def test_a_name_without_a_value_is_no_crash(folder: Path, name: str) -> None:
    lines = {"rules": "rules: polyester-75-knife", "layers": "layers: [top.gbr]"} | {name: f"{name}:"}
    path = folder / "pastecheck.yaml"
    path.write_text("\n".join(lines.values()), encoding="utf-8")
    if name in {"limits", "reports"}:
        assert read_project(path.as_posix()).layers
    else:
        with pytest.raises(RuleSetError) as refused:
            read_project(path.as_posix())
        assert refused.value.span.line
