"""Whatever the bytes: a drawing, or an error that a user can mend, soon."""

from pathlib import Path

from hypothesis import assume, given
from hypothesis import strategies as st

from pastecheck import gerber
from pastecheck.drawing import Drawing
from pastecheck.errors import PastecheckError
from pastecheck.openings import Openings, cut_from
from tests.gerber.texts import texts

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
LAYERS = [path.read_bytes()[:20_000] for path in sorted(FIXTURES.rglob("*.gbr"))]
_COMMANDS = (
    "LPC", "LMXY", "LR77", "LS999", "MOIN", "FSTAX77Y77", "ABD77", "AB", "SR", "SRX99999Y99999I9J9", "TD",
    "ADD78P,1X3X2X.1", "ADD79O,1X0X.1X.1", "ADD77Z,1X2X3", "TO.C,\\uD800", "IPNEG", "AMY*1,1," + "(" * 200,
    "AMZ*$1=1x(2/$3)*4,1,3,0,0,1,0,1,1,0,0,0", "AMX*1,1,1" + "+1" * 2000 + ",0,0", "ADD80X", "OFA1",
    "IR90", "MIA1B1", "ASAYBX", "ZZ1", "AMW*01,1,1,0,0*021,1,2,1,0,0*ADD81W", "TF.FilePolarity,Negative",
)  # fmt: skip
_PLAIN = (
    "G36", "G37", "G74", "G75", "G02", "G91", "M02", "D03", "D01", "D77", "D80", "I1J2", "G04 100%%",
    "X999999999999999Y-99999999999D03", "G37", "G99", "M30", "X1.5Y2D03", "D81", "M02*end",
)  # fmt: skip
MOST_CUT = 5000
"""Objects of a damaged layer that are cut; more show nothing else and take long."""
FRAGMENTS = (
    *(b"%", b"*", b"%%", b"\0", b"\xff"),
    *(f"%{command}*%".encode() for command in _COMMANDS),
    *(f"{statement}*".encode() for statement in _PLAIN),
)


def _is_honest(content: bytes) -> bool:
    try:
        return isinstance(gerber.read(content, "layer.gbr"), Drawing)
    except PastecheckError as error:
        return bool(error.code and error.hint and error.span.path == "layer.gbr")


def _is_cut(drawing: Drawing) -> bool:
    try:
        return isinstance(cut_from(drawing), Openings)
    except PastecheckError as error:
        return bool(error.code and error.hint and error.span.path == "layer.gbr")


@st.composite
def damaged(draw: st.DrawFn) -> bytes:
    """A layer with pieces cut out, doubled, overwritten or put in."""
    content = bytearray(draw(st.one_of(st.sampled_from(LAYERS), texts().map(str.encode))))
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, len(content)))
        length = draw(st.integers(0, 30))
        piece = draw(
            st.one_of(
                st.sampled_from(FRAGMENTS),
                st.binary(max_size=3),
                st.text("0123456789XYIJDG*%-+.,$x/()", max_size=6).map(str.encode),
                st.just(bytes(content[at : at + 3 * length])),
            )
        )
        content[at : at + (length if draw(st.booleans()) else 0)] = piece
    return bytes(content)


@given(st.one_of(st.binary(max_size=200), st.binary(max_size=200).map(lambda some: b"%FSLAX24Y24*%*" + some)))
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    assert _is_honest(content)


@given(damaged())
def test_any_damage_is_read_or_refused(content: bytes) -> None:
    assert _is_honest(content)


@given(damaged())
def test_what_is_read_of_damaged_layers_is_cut_or_refused(content: bytes) -> None:
    try:
        drawing = gerber.read(content, "layer.gbr")
    except PastecheckError:
        return
    assume(len(drawing) <= MOST_CUT)
    assert _is_cut(drawing)


def test_crumbs_of_rounding_belong_to_what_is_nearest() -> None:
    # an arc of 0.5 mm about a centre 0.1 um away, cleared by its disc twice: crumbs along the edge stay
    drawing = gerber.read(
        b"%MOMM*%%FSTAX34Y34*%%ADD10C,0.5*%D10*G02X0Y0I0J0000001D01*%LPC*%D03*D03*M02*", "layer.gbr"
    )
    assert _is_cut(drawing)


@given(st.binary(max_size=300))
def test_the_file_functions_of_any_bytes_are_texts(content: bytes) -> None:
    assert all(gerber.file_functions(content)) is True


def test_a_board_reads_the_same_without_line_ends() -> None:
    content = next(FIXTURES.glob("boards/*/*top.gbr")).read_bytes()
    lines, none = (gerber.read(text, "a") for text in (content, content.replace(b"\n", b"")))
    assert none.x_nm.tolist() == lines.x_nm.tolist()
    assert none.what.tolist() == lines.what.tolist()
    assert (set(none.line.tolist()), len(set(lines.line.tolist())) > 100) == ({1}, True)
