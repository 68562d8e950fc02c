"""A bounded run of the fuzz: the whole is `python -m tests.fuzz.run`."""

import os
import signal
import sys

import pytest

from tests.fuzz import mutations, seeds, trial, workers

# newer versions of Python warn of forks beside threads; those of a linear algebra library do nothing here
pytestmark = [
    pytest.mark.skipif(sys.platform != "linux", reason="needs fork and /proc"),
    pytest.mark.filterwarnings("ignore:.*multi-threaded.*:DeprecationWarning"),
]

CASES = 300
SEED = 1


def test_a_case_is_made_again_by_its_number() -> None:
    layers = [b"%FSLAX46Y46*%%MOMM*%%ADD10C,1*%D10*X0Y0D03*M02*", b"%FSLAX24Y24*%%MOIN*%G36*X0Y0D02*G37*M02*"]
    some = [mutations.case(layers, SEED, number) for number in range(40)]
    assert some == [mutations.case(layers, SEED, number) for number in range(40)]
    assert len(set(some)) > 30
    assert some != [mutations.case(layers, SEED + 1, number) for number in range(40)]


@pytest.mark.parametrize(
    ("does", "outcome"),
    [
        pytest.param(lambda: bytes(2 * workers.MOST_BYTES), "MemoryError", id="memory"),
        pytest.param(lambda: os.kill(os.getpid(), signal.SIGKILL), "SIGKILL", id="death"),
        pytest.param(lambda: 1 // 0, "ZeroDivisionError", id="defect"),
    ],
)
def test_a_case_that_fails_is_found_and_the_others_are_tried(does: object, outcome: str) -> None:
    def trying(number: int) -> str:
        if number == 1:
            does()  # type: ignore[operator]
        return "fine"

    found = list(workers.results(trying, range(3), workers=1))
    assert [result.failed for result in found] == [False, True, False]
    assert outcome in found[1].outcome


@pytest.mark.slow
def test_damaged_layers_give_a_report_or_an_error_that_helps() -> None:
    layers = seeds.own_layers()
    trial.warm_up()

    def trying(number: int) -> str:
        return trial.outcome(mutations.case(layers, SEED, number), number)

    found = list(workers.results(trying, range(CASES), workers=1))
    failed = [f"case {one.number}: {one.outcome}\n{one.details}" for one in found if one.failed]
    assert not failed
    assert sum(result.outcome == trial.JUDGED for result in found) > CASES / 10
