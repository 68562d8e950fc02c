"""What all tests share: where things lie, how many examples properties are tried on, renewed documents."""

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "every change",
    max_examples=25,
    deadline=None,
    derandomize=True,  # a change is judged by the same examples each time it is tried
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("long", max_examples=2000, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "every change"))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update-golden",
        action="store_true",
        help="write expected outputs and made parts of documents anew; read the difference before committing",
    )


def pytest_xdist_auto_num_workers() -> int:
    """How many processes `-n auto` starts: each takes 300 MB, and the longest test as long as four do."""
    return min(os.cpu_count() or 1, 4)


@pytest.fixture
def update_golden(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--update-golden"))


@pytest.fixture(scope="session")
def root() -> Path:
    """The checkout."""
    return Path(__file__).resolve().parent.parent


@pytest.fixture(scope="session")
def fixtures(root: Path) -> Path:
    return root / "fixtures"


@pytest.fixture(scope="session")
def shared() -> Path:
    """Boards and tables that may not be copied into the project; where there are none, tests skip."""
    folder = os.environ.get("PASTECHECK_SHARED")
    if not folder:
        pytest.skip("PASTECHECK_SHARED is not set")
    return Path(folder)
