"""The JSON of `films` is as its schema says, is the same each time, and says what was found."""

import json
from typing import Any

import jsonschema
import pytest

from pastecheck.films import Films, LayerFilms, RuleSetHeld, held, held_of_nothing, jsondoc
from pastecheck.judge import Source, summary
from pastecheck.rulesets import RuleSet
from tests.films.test_thickness import RATIOS
from tests.judge.slots import KNIFE_75, Slot, measured, rule_set

SOURCE = Source("p.gbr", "0" * 64, "top")


def films_of(
    *slots: Slot, rule_sets: tuple[RuleSet, ...] = (KNIFE_75, rule_set(*RATIOS, cutter=""))
) -> Films:
    layer = held(measured(slots), rule_sets, SOURCE) if slots else held_of_nothing(SOURCE, ())
    return made(layer, rule_sets=rule_sets)


def made(*layers: LayerFilms, rule_sets: tuple[RuleSet, ...] = (KNIFE_75,)) -> Films:
    return Films("1.0", tuple(RuleSetHeld(summary(one), one.cutter) for one in rule_sets), layers)


def document(of: Films) -> dict[str, Any]:
    found: dict[str, Any] = json.loads("".join(jsondoc.chunks(of)))
    return found


SMALL = Slot(0, 0, 0.25, 0.40, "R1")
PANES = tuple(Slot(1.1 * i, 1.1 * j, 0.9, 0.9) for i in range(3) for j in range(3))


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(jsondoc.schema())


@pytest.mark.parametrize(
    "of",
    [films_of(SMALL), films_of(*PANES), films_of(Slot(0, 0, 0.01, 3.0)), films_of()],
    ids=["small", "panes", "too narrow", "nothing"],
)
def test_what_is_written_is_as_the_schema_says(of: Films) -> None:
    jsonschema.Draft202012Validator(jsondoc.schema()).validate(document(of))


@pytest.mark.parametrize(
    "place",
    [(), ("layers", 0), ("layers", 0, "rule_sets", 0), ("layers", 0, "thickness", 0), ("rule_sets", 0)],
)
def test_the_schema_refuses_what_it_does_not_know(place: tuple[str | int, ...]) -> None:
    found: Any = document(films_of(SMALL))
    inner = found
    for step in place:
        inner = inner[step]
    inner["surprise"] = 1
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(jsondoc.schema()).validate(found)


def test_equal_films_are_equal_bytes() -> None:
    assert "".join(jsondoc.chunks(films_of(SMALL))) == "".join(jsondoc.chunks(films_of(SMALL)))


def test_a_range_is_written_with_what_sets_its_ends() -> None:
    (thickness, _) = document(films_of(SMALL))["layers"][0]["thickness"]
    ends = thickness["thinnest"], thickness["thickest_without_warning"], thickness["thickest"]
    assert [one["thickness_um"] for one in ends] == [63, 116, 128]
    assert ends[2]["check"] == "area-ratio"
    assert ends[2]["opening"]["label"] == "R1"
    assert thickness["is_there"]


def test_labels_are_written_in_ascii_and_come_back_whole() -> None:
    label = "U1\x1b[31m\u202e\ud800"
    text = "".join(jsondoc.chunks(films_of(Slot(0, 0, 0.1, 0.4, label))))
    assert text.isascii()
    assert "\x1b" not in text
    found = json.loads(text)["layers"][0]["rule_sets"][0]["hindrances"][0]
    assert found["components"] == [label]
