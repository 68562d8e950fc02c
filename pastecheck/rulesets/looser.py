"""Limits of one's own that let pass what the ones that they replace would have told of; or all there is."""

from collections.abc import Mapping, Sequence

from pastecheck.check import Check, Unit
from pastecheck.rulesets.chain import ships
from pastecheck.rulesets.draft import Draft
from pastecheck.rulesets.sections import ABOVE, BELOW
from pastecheck.units import shown, shown_apart


def looser(chain: Sequence[Draft], checks: Mapping[str, Check]) -> tuple[str, ...]:
    """
    What is in force and is looser than a limit that it replaces: check, limit, and what it was.

    Limits come together, so one that is left out counts no more. What the sets that ship have apart is theirs
    to say.

    Args:
        chain: The files that a rule set is made of, the last word last.
        checks: By their ids.
    """
    found = []
    shipped = {draft.place.path for draft in chain if ships(draft.place)}
    for name in dict.fromkeys(name for draft in chain for name in draft.parts):
        limiting = [draft for draft in chain if name in draft.parts and draft.parts[name].limits]
        for draft in reversed(limiting[:-1]):
            if {draft.place.path, limiting[-1].place.path} <= shipped:
                continue
            limits = limiting[-1].parts[name].limits
            if told := _told(limits, draft.parts[name].limits, checks[name].unit):
                found.append(f"{name} ({'; '.join(told)})")
                break
    return tuple(found)


def _told(now: Mapping[str, float], before: Mapping[str, float], unit: Unit) -> list[str]:
    """Each limit that is looser now, or gone."""
    told = []
    for limit in [limit for limit in (*BELOW, *ABOVE) if limit in before]:
        if limit not in now:
            told.append(f"no {limit}, was {shown(before[limit], unit)}")
        elif (now[limit] < before[limit]) == (limit in BELOW) and now[limit] != before[limit]:
            is_, was = shown_apart(now[limit], before[limit], unit)
            told.append(f"{limit} {is_}, was {was}")
    return told


def never_past(chain: Sequence[Draft], checks: Mapping[str, Check], told: Sequence[str]) -> tuple[str, ...]:
    """
    Limits in force that no reading is ever past, for what is a share ends at 1: 74 for 74 %.

    Args:
        chain: As above.
        checks: By their ids.
        told: What is looser, and so told already.
    """
    in_force = {name: part.limits for draft in chain for name, part in draft.parts.items() if part.limits}
    known = {one.split(" ")[0] for one in told}
    return tuple(
        f"{name} ({limit} {shown(limits[limit], checks[name].unit)})"
        for name, limits in in_force.items()
        for limit in ABOVE
        if name not in known and limits.get(limit, 0.0) >= checks[name].most
    )
