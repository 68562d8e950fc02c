"""The commands `rules` and `explain`: pages to read."""

from pastecheck.cli.arguments import Parser, nearest_of, parsed, quoted, usage
from pastecheck.cli.console import put
from pastecheck.cli.status import JUDGED
from pastecheck.limits import NAMES


def rules(arguments: list[str]) -> int:
    """List the rule sets, or show one."""
    parser = Parser("pastecheck rules [SET]", "List the rule sets; or show one, each limit with its source.")
    parser.add_argument("set", nargs="?", metavar="SET", help="name of a rule set, or path of a .yaml file")
    if (options := parsed(parser, arguments)) is not None:
        from pastecheck import handbook

        put([handbook.of_rule_sets() if options.set is None else handbook.of_rule_set(options.set)])
    return JUDGED


def explain(arguments: list[str]) -> int:
    """Explain a check, or a code of an error or diagnostic."""
    parser = Parser(
        "pastecheck explain CHECK|CODE",
        "What a check measures, why it matters, its error bound and sources; or what the code of an error or "
        "of a remark on a file means, and what to do.",
    )
    parser.add_argument("name", nargs="?", metavar="CHECK|CODE", help="such as web-width, or unclosed-region")
    if (options := parsed(parser, arguments)) is None:
        return JUDGED
    from pastecheck import handbook

    checks, codes = handbook.checks(), handbook.codes()
    if options.name is None:
        raise usage("no check was named", f"name one of {', '.join(checks)}; or the code of an error")
    if options.name in checks:
        put([handbook.of_check(options.name)])
    elif options.name in codes:
        put([handbook.of_code(options.name)])
    elif options.name in NAMES:
        put([handbook.of_limits()])
    else:
        hint = nearest_of(options.name, [*checks, *codes])
        known = hint if hint.startswith("did you") else f"checks are {', '.join(checks)}"
        raise usage(f"there is no check or code {quoted(options.name)}", known)
    return JUDGED
