"""The commands `rules` and `explain`: pages to read."""

import argparse
from collections.abc import Sequence
from shutil import get_terminal_size
from typing import Final

from pastecheck.cli.arguments import Once, Parser, nearest_of, parsed, quoted, usage
from pastecheck.cli.console import put
from pastecheck.cli.status import JUDGED
from pastecheck.limits import NAMES

_WIDEST: Final = 120
"""Of a terminal that is wider not all is used: lines of text get hard to read."""


def rules(arguments: list[str]) -> int:
    """List the rule sets, show one, or compare two."""
    options = parsed(_rules_parser(), arguments)
    if options is None:
        return JUDGED
    asked = [options.set is not None, options.compare is not None, options.schema]
    if sum(asked) > 1:
        hint = "ask for one thing at a time: SET, --compare A B, or --schema"
        raise usage("a rule set to show and something else were asked for", hint)
    if options.schema:
        _tell(_schema(), None, options.json, [])
        return JUDGED
    text, for_scripts, read = _of_rule_sets(options)
    _tell(text, for_scripts, options.json, read)
    return JUDGED


def _rules_parser() -> Parser:
    parser = Parser(
        "pastecheck rules [SET | --compare A B | --schema] [--json FILE]",
        "List the rule sets: name, material, thickness, cutter. Or show one: each limit and setting in "
        "force, where it was set, and where the limits come from.",
    )
    parser.add_argument("set", nargs="?", metavar="SET", help="name of a rule set, or path of a .yaml file")
    parser.add_argument(
        "--compare", nargs=2, action=Once, metavar=("A", "B"), help="what two rule sets have apart"
    )
    parser.add_argument(
        "--json",
        action=Once,
        metavar="FILE",
        help="write the same for scripts, to FILE; - is standard output, and then nothing else goes there",
    )
    parser.add_argument(
        "--schema",
        action="store_true",
        help="print the JSON Schema of rule sets, with which editors complete and check them",
    )
    return parser


def _of_rule_sets(options: argparse.Namespace) -> tuple[str, str, Sequence[str]]:
    """What was asked for: for people, for scripts, and the files it was read from."""
    from pastecheck.handbook import rule_sets
    from pastecheck.reporters import rule_set_pages as pages

    width = _width()
    if options.compare is not None:
        found = rule_sets.comparison_of(*options.compare)
        read = [file for page in (found.one, found.other) for file in (page.file, *page.extended)]
        return pages.of_comparison(found, width), pages.json_of_comparison(found), read
    if options.set is not None:
        page = rule_sets.page_of(options.set)
        return pages.of_rule_set(page, width), pages.json_of_rule_set(page), [page.file, *page.extended]
    listed = rule_sets.listed()
    return pages.of_rule_sets(listed), pages.json_of_rule_sets(listed), []


def _schema() -> str:
    from pastecheck.rulesets.schema import of_rule_sets

    return of_rule_sets().text


def _tell(text: str, for_scripts: str | None, path: str | None, read: Sequence[str]) -> None:
    """A page to standard output; the same for scripts to a file, or in its place."""
    from pastecheck import outputs

    if path is None:
        put([text])
        return
    if for_scripts is None:
        raise usage("--json says nothing about a schema", "leave it out: the schema is JSON as it is")
    outputs.refuse_unfit([path], read)
    if path == outputs.STANDARD_OUTPUT:
        put([for_scripts], verbatim=True)
        return
    with outputs.in_place_at_the_end([outputs.Output(path, [for_scripts])]):
        put([text])


def _width() -> int:
    return min(max(get_terminal_size((80, 24)).columns, 40), _WIDEST)


def explain(arguments: list[str]) -> int:
    """Explain a check, or a code of an error or diagnostic."""
    parser = Parser(
        "pastecheck explain CHECK|CODE|trim",
        "What a check measures, why it matters, its error bound and sources; or what the code of an error or "
        "of a remark on a file means, and what to do; or what the section trim of a rule set may say.",
    )
    parser.add_argument("name", nargs="?", metavar="CHECK|CODE", help="such as web-width, or unclosed-region")
    if (options := parsed(parser, arguments)) is None:
        return JUDGED
    from pastecheck import handbook
    from pastecheck.handbook import trimming

    checks, codes = handbook.checks(), handbook.codes()
    if options.name is None:
        raise usage("no check was named", f"name one of {', '.join(checks)}; or the code of an error")
    if options.name in checks:
        put([handbook.of_check(options.name, _width())])
    elif options.name in codes:
        put([handbook.of_code(options.name)])
    elif options.name == trimming.NAME:
        put([trimming.of_trim(_width())])
    elif options.name in NAMES:
        put([handbook.of_limits()])
    else:
        hint = nearest_of(options.name, [*checks, *codes, trimming.NAME])
        known = hint if hint.startswith("did you") else f"checks are {', '.join(checks)}"
        raise usage(f"there is no check or code {quoted(options.name)}", known)
    return JUDGED
