import pytest

from pastecheck.limits import NAMES, STANDARD, how_to_raise
from tests.cli.conftest import Run


@pytest.mark.parametrize("name", NAMES)
def test_every_limit_can_be_raised_by_its_name(name: str) -> None:
    raised = STANDARD.raised(name, 10**12)
    assert getattr(raised, name.replace("-", "_")) == 10**12


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("objects", "--limit 'objects' gives no whole number"),
        ("objects=1e9", "--limit 'objects=1e9' gives no whole number"),
        ("objects=-1", "--limit 'objects=-1' gives no whole number"),
        ("objects=0", "--limit: the limit 'objects' has to be 1 at least"),
        ("things=5", "--limit: there is no limit 'things'"),
        ("macro_statements=5", "--limit: there is no limit 'macro_statements'"),
    ],
)
def test_a_limit_that_cannot_be_read_is_told(run: Run, written: str, told: str) -> None:
    said = run("check", "any.gbr", "--rules", "polyester-75-knife", "--limit", written)
    assert said.status == 2
    assert told in said.err


def test_how_to_raise_a_limit_can_be_copied() -> None:
    assert how_to_raise("objects", 4_000_000).endswith("--limit objects=4000000")
