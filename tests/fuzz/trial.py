"""The whole way of a check, from bytes to the text of a report."""

from functools import lru_cache
from importlib import import_module
from typing import Final

from pastecheck import rulesets, run
from pastecheck.errors import PastecheckError
from pastecheck.layers import Layer
from pastecheck.reporters import jsondoc
from pastecheck.rulesets import RuleSet

JUDGED: Final = "judged"
_PATH: Final = "layer.gbr"


@lru_cache(maxsize=1)
def rule_sets() -> tuple[RuleSet, ...]:
    """All that ship."""
    return tuple(rulesets.load(name) for name in rulesets.shipped())


def warm_up() -> None:
    """Import what is imported on first use, so that it counts for no case."""
    import_module("rtree.index")
    outcome(b"%FSLAX46Y46*%%MOMM*%%ADD10C,1*%D10*X0Y0D03*X5000000Y0D03*M02*")


def outcome(content: bytes, number: int = 0) -> str:
    """
    `JUDGED`, or the code of the error that a user would see; whatever else happens is a defect.

    Args:
        content: A layer file.
        number: Picks the rule set, and whether everything drawn is judged as an opening.
    """
    sets = rule_sets()
    everything = number // len(sets) % 2 == 1
    layer = Layer(_PATH, content, "top")
    try:
        report = run.checked([layer], sets[number % len(sets)], everything=everything)
    except PastecheckError as error:
        if not (error.code and error.hint and error.span.path == _PATH):
            raise AssertionError(f"an error that is no help: {error}") from error
        return error.code
    if not any(text for text in jsondoc.chunks(report)):
        raise AssertionError("a report without a text")
    return JUDGED
