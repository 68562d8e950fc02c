"""Every check is declared in full, and some rule set that ships judges it."""

import re

import pytest

from pastecheck import checks, rulesets
from pastecheck.check import Check, Unit, Worse

CATALOGUE = checks.catalogue()
every_check = pytest.mark.parametrize("check_id", CATALOGUE)


def _check(check_id: str) -> Check:
    return CATALOGUE[check_id]


def test_the_catalogue_holds_the_checks_in_alphabetical_order() -> None:
    assert list(CATALOGUE) == sorted(CATALOGUE)
    assert {"area-ratio", "aspect-ratio", "opening-width", "web-width"} <= set(CATALOGUE)


@every_check
def test_an_id_is_words_with_hyphens(check_id: str) -> None:
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", check_id)


@every_check
def test_documentation_begins_with_the_title_and_what_is_measured(check_id: str) -> None:
    first, blank, *_ = checks.documentation(check_id).strip().splitlines()
    assert re.fullmatch(rf"{_check(check_id).title}: [^.]+\.", first)
    assert not blank


@every_check
@pytest.mark.parametrize("part", ["What", "Why", "How", "Cannot see"])
def test_documentation_has_each_of_its_parts(check_id: str, part: str) -> None:
    assert re.search(rf"^{part}: \S", checks.documentation(check_id), re.MULTILINE)


@every_check
def test_the_quantity_is_the_id_in_words(check_id: str) -> None:
    assert _check(check_id).quantity == check_id.replace("-", " ")
    assert _check(check_id).title.lower() == _check(check_id).quantity


@every_check
def test_unit_and_direction_are_ones_that_reports_know(check_id: str) -> None:
    assert _check(check_id).unit in set(Unit)
    assert _check(check_id).worse in set(Worse)


@every_check
def test_the_definition_names_a_source_or_says_that_it_is_ours(check_id: str) -> None:
    assert re.search(
        r"our own definition|common practice, no source|section|\d{4}", _check(check_id).definition
    )


@every_check
def test_how_far_a_reading_can_be_off_is_said(check_id: str) -> None:
    assert _check(check_id).error_bound


@every_check
def test_there_are_several_examples_and_none_says_what_another_says(check_id: str) -> None:
    says = [example.says for example in _check(check_id).examples]
    assert len(set(says)) == len(says) >= 3


@every_check
def test_some_rule_set_that_ships_judges_it(check_id: str) -> None:
    judged = {rule.check for name in rulesets.shipped() for rule in rulesets.load(name).rules}
    assert check_id in judged
