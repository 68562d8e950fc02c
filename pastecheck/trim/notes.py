"""What the entries of a rule set do not do though it may seem so, so that nobody waits for it in vain."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray
from pastecheck.measurements import Measurements
from pastecheck.reporters._phrases import many
from pastecheck.rulesets import ANOTHER_SHEET, RuleSet
from pastecheck.rulesets.trims import SELECTED
from pastecheck.trim import Trimmed
from pastecheck.trim.errors_of import Found, with_new_errors
from pastecheck.trim.marks import not_done_before
from pastecheck.trim.others import are_selected
from pastecheck.trim.plan import Why
from pastecheck.units import shown_um

_BEFORE: Final = (Why.THERMAL, Why.LARGE, Why.CHIPS)
"""Entries that come before those selected."""


def notes_of(
    m: Measurements, done: Trimmed, now: Found, rule_set: RuleSet, marks: frozenset[str]
) -> tuple[str, ...]:
    """
    One where all was meant for other foil, and one for each check that reads finer numbers otherwise.

    Then one for each entry under `selected` that another comes before, or that fits nothing.

    Args:
        m: The layer as drawn.
        done: What became of it.
        now: What is found in that.
        rule_set: The entries.
        marks: Of what was done before, which is not told again.
    """
    trim = not_done_before(rule_set.trim, marks)
    found_by = _found_by(m, done, rule_set) if any(one.failed for one in trim.selected) else {}
    taken: dict[str, BoolArray] = {"rows": m.are_leads}
    taken |= {why.name.lower(): done.why == why for why in _BEFORE}
    notes = [*_of_foil(rule_set), *_of_rounding(done, now, rule_set)]
    for entry in trim.selected:
        fits = are_selected(m, entry, found_by)
        notes += _told(entry.name, fits, taken)
        taken[f"{SELECTED} {entry.name}"] = fits
    return tuple(notes)


def _of_foil(rule_set: RuleSet) -> Iterator[str]:
    meant_mm, used_mm = rule_set.set_for_mm, rule_set.foil.thickness_mm
    if abs(used_mm - meant_mm) > ANOTHER_SHEET * meant_mm:
        meant, used = shown_um(meant_mm), shown_um(used_mm)
        yield f"the rule set is for foil of {meant}, not {used}: what it asks to be trimmed may not suit"


def _of_rounding(done: Trimmed, now: Found, rule_set: RuleSet) -> Iterator[str]:
    """Errors that are not of any change: numbers of the written layer are finer, so they have less slack."""
    new = with_new_errors(done.before, now)
    if new is None:
        return
    for row, count in enumerate(np.bincount(now.check[new]).tolist()):
        if count:
            yield (
                f"{rule_set.rules[row].check}: {many(count, 'error')} more than as drawn, though nothing was "
                "changed there: the drawn file's numbers are rounded, which is allowed for, and those "
                "written are finer"
            )


def _told(name: str, fits: BoolArray, taken: dict[str, BoolArray]) -> Iterator[str]:
    if not fits.any():
        yield f"{SELECTED} {name}: it fits no opening of this layer"
    free = fits
    for other, its in taken.items():
        count = int(np.count_nonzero(free & its))
        if count:
            left = many(count, "opening")
            yield f"{SELECTED} {name}: of those that it fits, {left} left to {other}, which counts first"
        free = free & ~its


def _found_by(m: Measurements, done: Trimmed, rule_set: RuleSet) -> dict[str, BoolArray]:
    """For each check the openings as drawn that it finds something of. Shape (n,) each."""
    found = {}
    for row, rule in enumerate(rule_set.rules):
        of = np.zeros(len(m.openings) + 1, bool)  # the last is for what is of no opening
        rows = np.flatnonzero(done.before.check == row)
        of[done.before.first[rows]] = of[done.before.second[rows]] = True
        found[rule.check] = of[:-1]
    return found
