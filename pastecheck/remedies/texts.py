"""Remedies in words: one for all findings of an opening, and of a pair; each distinct one once."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from pastecheck.check import TextArray, worded
from pastecheck.drawing import BoolArray, IntArray
from pastecheck.ragged import distinct_runs, offsets
from pastecheck.remedies.aims import Failure
from pastecheck.remedies.changes import Changes, Kind, if_it_warns, in_words
from pastecheck.remedies.conflicts import A_WISH, NOTHING, Conflicts
from pastecheck.remedies.foils import Foils
from pastecheck.units import UM_PER_MM, shown, shown_um

NO_WISH, WARNING, ERROR = 0, 1, 2
"""What is left of the findings for which a change of size was wished."""


class Left(NamedTuple):
    """What a granted change of size leaves. Shape (n,) each."""

    of_openings: IntArray
    """`NO_WISH`, `WARNING` or `ERROR`."""
    of_pairs: IntArray
    """The same of pairs of like openings."""
    advice: IntArray
    """Number of a set of advice for what is left, 0 for none."""
    only_advice: IntArray
    """Whether the advice would do as well as the change of size."""
    redraws: IntArray
    """Above 0 where the advice takes the place of all else."""


class Words(NamedTuple):
    """What sentences are made of besides figures."""

    foil: str
    """What the user calls the foil."""
    instead: str
    quantities: tuple[str, ...]
    """Of the checks that may stop a change."""
    advice: tuple[str, ...]
    """By number of the set."""
    several: bool
    """Whether openings of several shapes would be helped by another foil."""


def of_openings(
    rows: IntArray, changes: Changes, foils: Foils, conflicts: Conflicts, left: Left, words: Words
) -> TextArray:
    """What to do about each of some openings. Shape (k,)."""
    columns = [np.column_stack([column[rows] for column in group]) for group in (foils, conflicts, left)]

    def say(figures: list[int]) -> str:
        size, foil, why, rest = figures[:7], figures[7:12], figures[12:16], figures[16:]
        of_openings, of_pairs, advice, only_advice, redraws = rest
        advised = words.advice[advice]
        if redraws:
            return advised
        options = [in_words(size) + if_it_warns(size[-1])] if size[0] else []
        # another foil alone is of no use where webs fail as badly in it
        for other in _foils_in_words(foil, size, words.foil) if size[0] or of_pairs < ERROR else ():
            options.insert(0 if words.several else len(options), other)
        if options and only_advice and advised:
            return ", or ".join([*options, advised])
        left_over = of_pairs if options else max(of_openings, of_pairs)
        if size[0]:
            left_over = NO_WISH
        nothing = _nothing_does(why, left_over, words, for_the_rest=bool(advised))
        return "; ".join(part for part in (", or ".join(options), advised, nothing) if part)

    return worded(np.column_stack([changes.rows(rows), *columns]), say)


def _foils_in_words(foil: list[int], size: list[int], name: str) -> list[str]:
    """Another foil; beside a change of size only one that does as much."""
    at_most_um, at_least_um, thinner_warns, thicker_warns, needs_advice = foil
    ends_less = size[0] and (needs_advice or ((thinner_warns or thicker_warns) and not size[-1]))
    texts: list[str] = []
    if ends_less:
        return texts
    if at_most_um:
        thinner = f"use {name} no thicker than {shown_um(at_most_um / UM_PER_MM)}"
        texts.append(thinner + if_it_warns(thinner_warns))
    if at_least_um:
        thicker = f"use {name} no thinner than {shown_um(at_least_um / UM_PER_MM)}"
        texts.append(thicker + if_it_warns(thicker_warns))
    return texts


def _nothing_does(why: list[int], left_over: int, words: Words, *, for_the_rest: bool) -> str:
    """Why nothing is changed."""
    if left_over == NO_WISH:
        return ""
    if left_over == WARNING:
        what = "the rest" if for_the_rest else "this"
        return f"cut a trial piece first: no change of this opening ends {what} without another finding"
    wanted_um, allowed_um, stops, at_most_um = why
    if not wanted_um or stops == NOTHING:
        return f"no {'other ' if for_the_rest else ''}change of this opening would do here: {words.instead}"
    wanted, allowed = (shown(width / UM_PER_MM, "mm") for width in (wanted_um, allowed_um))
    if stops == A_WISH:
        wish = f"it should be {wanted} wide or more, and {allowed} or less beside its neighbours"
        return f"{wish}: {words.instead}"
    least = "no more" if wanted_um > allowed_um else "no less"
    text = f"{wanted} wide would do, but {words.quantities[stops]} allows {least} than {allowed}"
    if at_most_um:
        text = f"{text} unless the {words.foil} is no thicker than {shown_um(at_most_um / UM_PER_MM)}"
    return f"{text}: {words.instead}"


def of_pairs(figures: IntArray, instead: str) -> TextArray:
    """
    What to do about each of some pairs of openings. Shape (k,).

    Args:
        figures: Changes of the one and of the other, 7 columns each; which is the larger (0, 1, or 2 for
            neither); what is left of the finding; how far edges should move where no size tells.
        instead: What is left to do where nothing changes.
    """

    def say(row: list[int]) -> str:
        one, other, (larger, left_over, edges_um) = row[:7], row[7:14], row[14:]
        changed = _pair_changed(one, other, larger)
        if changed:
            return changed + if_it_warns(one[-1] or other[-1])
        if edges_um:
            return f"move the edges that face each other {shown(edges_um / UM_PER_MM, 'mm')} apart"
        if left_over == ERROR:
            return f"neither opening can give way enough: {instead}"
        if left_over == WARNING:
            return "cut a trial piece first: neither opening can give way without another finding"
        return ""

    return worded(figures, say)


def _pair_changed(one: list[int], other: list[int], larger: int) -> str:
    """
    What to do with both, the larger first; of two that are as large the one with the larger figures.

    Not in order of the layer: pairs that lie the other way round want the same, and read the same.
    """
    if one[0] == other[0] == Kind.ONE_SIDE and one[3] == other[3]:
        return f"take {shown(one[3] / UM_PER_MM, 'mm')} off each of the two sides that face each other"
    both = [[one, other], [other, one], sorted([one, other], reverse=True)][larger]
    names = ["the one", "the other"] if larger > 1 else ["the larger opening", "the smaller opening"]
    if larger > 1 and not (one[0] and other[0]):
        names = ["one of them"] * 2
    clauses = [in_words(each, name) for each, name in zip(both, names, strict=True)]
    return ", and ".join(clause for clause in clauses if clause)


def sets_of_advice(
    count: int, failures: Sequence[Failure], texts: Sequence[TextArray], kept: Sequence[BoolArray]
) -> tuple[IntArray, tuple[str, ...]]:
    """
    All advice about each opening, as a number of a set, and the sets in words.

    Args:
        count: Number of openings.
        failures: What failed.
        texts: Advice for each failed reading.
        kept: Whether it is to be told.
    """
    known: dict[str, int] = {}
    pairs = [np.zeros((0, 2), np.int64)]
    for failure, advice, told in zip(failures, texts, kept, strict=True):
        rows = np.flatnonzero(told & (advice != "").astype(bool))
        number = _numbers(advice[rows], known)
        pairs += [np.column_stack([opening[rows], number]) for opening in failure.failed.pairs]
    # without the index numpy would load its masked arrays
    every, _ = np.unique(np.concatenate(pairs), axis=0, return_index=True)
    opening, begin, size = np.unique(every[:, 0], return_index=True, return_counts=True)
    kinds = distinct_runs(every[:, 1:], offsets(size))
    texts_known = list(known)
    sets = [
        "; ".join(texts_known[number] for number in every[start : start + length, 1].tolist())
        for start, length in zip(begin[kinds.first].tolist(), size[kinds.first].tolist(), strict=True)
    ]
    of_opening = np.zeros(count, np.int64)
    of_opening[opening] = kinds.inverse + 1
    return of_opening, ("", *sets)


def joined(one: TextArray, other: TextArray) -> TextArray:
    """Two texts for each finding, one behind the other; equal pairs are joined once."""
    known: dict[str, int] = {}
    both = np.column_stack([_numbers(one, known), _numbers(other, known)])
    texts = list(known)
    return worded(both, lambda row: "; ".join(texts[number] for number in row if texts[number]))


def _numbers(texts: TextArray, known: dict[str, int]) -> IntArray:
    """A number for each text; texts that are one object are looked up once."""
    which = np.fromiter(map(id, texts), np.int64, len(texts))
    _, first, inverse = np.unique(which, return_index=True, return_inverse=True)
    numbers = [known.setdefault(text, len(known)) for text in texts[first]]
    return np.array(numbers, np.int64)[inverse]
