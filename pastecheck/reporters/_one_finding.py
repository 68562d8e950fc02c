"""One finding in a sentence or two, for formats that have a message for each."""

from pastecheck.report import Finding, RuleOutcome


def message(finding: Finding) -> str:
    """
    What is wrong, of which component, where, and what to do; not yet made harmless.

    The first sentence stands by itself, for that is all that some viewers show.
    """
    of = f"{finding.label} at" if finding.label else "at"
    place = f"({finding.x_mm + 0.0:.3f}, {finding.y_mm + 0.0:.3f}) mm".replace("-0.000", "0.000")
    told = f"{finding.text}: {of} {place}."
    return f"{told} To do: {finding.remedy}." if finding.remedy else told


def why_not_judged(outcome: RuleOutcome) -> str:
    """Why a check that is in the rule set says nothing about a layer; empty where it does."""
    if outcome.findings:
        return ""
    if outcome.missing:
        return f"not measured: it needs {outcome.missing}"
    if not outcome.measured:
        return "it measured nothing here, so it says nothing about this layer"
    return "" if outcome.limits else "measured, but the rule set has no limits for it"
