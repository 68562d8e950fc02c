from pastecheck.reporters.pages import Case, CheckPage, Setting, of_check

CHECK = CheckPage(
    check="web-width",
    quantity="web width",
    unit="mm",
    worse="below",
    documentation=(
        "\nWeb width: film left\nbetween two openings.\n\n"
        "What: the shortest distance between\ntwo openings.\n"
    ),
    definition="our own",
    error_bound="0.1 um for each flattened outline",
    settings=[Setting("over_cut", "0.0")],
    examples=[Case("two slots at 0.5", (0.25,)), Case("a lone slot", ())],
)


def test_the_page_of_a_check_tells_all_there_is() -> None:
    assert of_check(CHECK, width=60) == (
        "web-width - Web width: film left between two openings.\n"
        "\n"
        "What: the shortest distance between two openings.\n"
        "\n"
        "  quantity: web width\n"
        "  unit: mm\n"
        "  worse: below its limits\n"
        "  definition: our own\n"
        "  error bound: 0.1 um for each flattened outline\n"
        "\n"
        "Settings that a rule may give\n"
        "  over-cut: 0.0 unless a rule set says otherwise\n"
        "\n"
        "Worked by hand, and tested\n"
        "  two slots at 0.5 - reads 0.25 mm\n"
        "  a lone slot - reads nothing\n"
    )


def test_a_ratio_has_no_unit() -> None:
    page = CheckPage("area-ratio", "area ratio", "1", "both", "Area ratio.", "", "", [], [Case("x", (0.6,))])
    text = of_check(page)
    assert "  unit: none, it is a ratio\n" in text
    assert "  worse: below and above its limits\n" in text
    assert "  x - reads 0.6\n" in text
    assert "  none\n" in text


def test_no_line_is_longer_than_asked_for() -> None:
    long = CheckPage("a", "q", "1", "below", "Title.\n\n" + "word " * 80, "d " * 80, "e " * 80, [], [])
    assert max(map(len, of_check(long, width=50).splitlines())) <= 50
