"""Every way a run can go wrong is noticed and said in one line; nothing sound is refused."""

import re
import sys
import textwrap
from collections.abc import Callable
from pathlib import Path

import pytest

from generator.engraving.lilypond import engrave, start
from generator.engraving.program import Program
from generator.errors import EngravingError

PAGE = {"sheet.ly": '\\version "2.24.0"\n{ c\'4 }\n'}
GOOD_PDF = "open('sheet.pdf', 'wb').write(b'%PDF-1.5 ... %%EOF\\n')"
pytestmark = [
    pytest.mark.skipif(sys.platform == "win32", reason="the stand-ins are scripts with a #! line"),
    pytest.mark.usefixtures("temporary"),
]


def test_a_good_run_gives_the_bytes_and_leaves_nothing(
    fake: Callable[[str], Program], temporary: Path
) -> None:
    result = engrave(PAGE, program=fake(GOOD_PDF))
    assert result.files == {"sheet.pdf": b"%PDF-1.5 ... %%EOF\n"}
    assert (result.warnings, result.overfull) == ((), False)
    assert not list(temporary.iterdir())


# Messages as LilyPond 2.24.3 prints them (read from its log).
BAD_LINES = (
    "sheet.ly:4:2: error: unknown escaped string: `\\foo'",
    'fatal error: failed files: "sheet.ly"',
    "programming error: cyclic dependency: calculation-in-progress",
    "sheet.ly:4:22: warning: barcheck failed at: 3/4",
    "sheet.ly:4:33: warning: unterminated slur",
    "warning: unknown clef type `fish'",
    "warning: Cairo surface status 'error while writing to output stream'",
    "sheet.ly:2:3: warning: octave check failed; expected \"c'\", found: \"c\"",
)  # fmt: skip


@pytest.mark.parametrize("line", BAD_LINES)
def test_exit_code_0_with_a_bad_line_is_a_failure(line: str, fake: Callable[[str], Program]) -> None:
    with pytest.raises(EngravingError, match=re.escape(f"found fault with the page: {line}")):
        engrave(PAGE, program=fake(f"{GOOD_PDF}\nprint({line!r}, file=sys.stderr)"))


@pytest.mark.parametrize(
    ("body", "message"),
    [
        ("pass", r"LilyPond wrote no sheet\.pdf"),
        ("open('sheet.pdf', 'wb')", r"LilyPond left sheet\.pdf cut off \(0 bytes\)"),
        ("open('sheet.pdf', 'wb').write(b'%PDF-1.5 ...')", r"LilyPond left sheet\.pdf cut off \(12 bytes\)"),
        ("open('sheet.pdf', 'wb').write(b'%!PS %%EOF')", "cut off"),
        (f"{GOOD_PDF}; sys.exit(1)", "stopped with an error: it did not say why"),
        (f"{GOOD_PDF}; sys.exit('one\\nthe last words\\n\\n')", "stopped with an error: the last words"),
        ("os.kill(os.getpid(), signal.SIGSEGV)", "LilyPond crashed: signal 11"),
        ("print('page.cc: assertion failed', file=sys.stderr, flush=True); os.abort()", "page.cc: assertion"),
        ("os.kill(os.getpid(), signal.SIGKILL)", "was killed from outside, often for want of memory"),
        ("os.kill(os.getpid(), signal.SIGXCPU)", "took more computing time than it may use"),
        ("sys.exit(128 + signal.SIGXFSZ)", "wrote a larger file than it may and was stopped"),
        ("sys.exit('GC Warning: Out of Memory! Returning NULL!')", "needed more memory than it may use"),
        (
            "sys.exit('-:4:2: error: first\\n-:5:1: error: second\\nfatal error: failed files')",
            r"stopped with an error: sheet\.ly:4:2: error: first",
        ),
    ],
)
def test_every_unsound_end_is_one_clear_line(body: str, message: str, fake: Callable[[str], Program]) -> None:
    with pytest.raises(EngravingError, match=message) as caught:
        engrave(PAGE, program=fake(body))
    assert "\n" not in str(caught.value)
    with start(fake(body)) as starting, pytest.raises(EngravingError, match=message):
        starting.finish(PAGE["sheet.ly"])


def test_a_failure_keeps_text_and_log_where_it_says(fake: Callable[[str], Program], temporary: Path) -> None:
    broken = fake("open('sheet.pdf', 'w').write('half'); sys.exit('sheet.ly:2:1: error: no')")
    with pytest.raises(EngravingError) as caught:
        engrave({**PAGE, "house.ily": "% house\n"}, program=broken)
    (kept,) = temporary.iterdir()
    assert kept.name.startswith("scalewright-failed-")
    assert str(caught.value).endswith(f"(text and log are kept in {kept})")
    assert sorted(path.name for path in kept.iterdir()) == ["house.ily", "lilypond.log", "sheet.ly"]
    assert (kept / "sheet.ly").read_text() == PAGE["sheet.ly"]
    assert "error: no" in (kept / "lilypond.log").read_text()


def test_titles_that_speak_of_errors_and_harmless_noise_are_no_failure(
    fake: Callable[[str], Program],
) -> None:
    noise = [
        "Fontconfig error: No writable cache directories",
        "sheet.ly:3:9: warning: something new",
        'title = "A comedy of error: fatal error: x"',
        "            fatal error: in a quoted line",
        "warning: ignoring unsupported formats (png)",
    ]
    result = engrave(PAGE, program=fake(f"{GOOD_PDF}\nsys.stderr.write({chr(10).join(noise)!r})"))
    assert result.warnings == ("sheet.ly:3:9: something new",)


def test_missing_letters_are_named_once_and_full_pages_flagged(fake: Callable[[str], Program]) -> None:
    said = """
        warning: no glyph for character U+6F22 in font `/x/C059-Bold.otf'
        warning: no glyph for character U+6F22 in font `/x/C059-Roman.otf'
        warning: no glyph for character U+1F3B5 in font `/x/C059-Bold.otf'
        warning: too few pages: 1 (should have at least 3)
        warning: tried to space systems on a bad number of pages
        warning: compressing over-full page by 182.9 staff-spaces
        warning: page 1 has been compressed
    """
    result = engrave(PAGE, program=fake(f"{GOOD_PDF}\nsys.stderr.write({textwrap.dedent(said)!r})"))
    assert result.overfull
    assert result.warnings == tuple(
        f"no font here has \u201c{sign}\u201d ({name}); it is left blank on the page"
        for sign, name in (
            ("\u6f22", "U+6F22, cjk unified ideograph-6f22"),
            ("\U0001f3b5", "U+1F3B5, musical note"),
        )
    )


def test_pages_come_in_order_and_are_numbered_alike(fake: Callable[[str], Program]) -> None:
    result = engrave(
        PAGE,
        formats=("png", "svg", "midi"),
        program=fake(
            """
            for n in range(1, 13):
                open(f"sheet-page{n}.png", "wb").write(b"\\x89PNG\\r\\n\\x1a\\n%02d IEND\\xaeB`\\x82" % n)
                open(f"sheet-{n}.svg", "wb").write(b"<svg>%02d</svg>\\n" % n)
            open("sheet.midi", "wb").write(b"MThd 1 \\xff\\x2f\\x00")
            open("sheet-1.midi", "wb").write(b"MThd 2 \\xff\\x2f\\x00")
            """
        ),
    )
    numbers = range(1, 13)
    assert list(result.files) == [
        *(f"sheet-{n}.png" for n in numbers),
        *(f"sheet-{n}.svg" for n in numbers),
        *("sheet-1.midi", "sheet-2.midi"),
    ]
    assert result.files["sheet-10.svg"] == b"<svg>10</svg>\n"
    assert result.files["sheet-2.midi"][5:6] == b"2"


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"formats": ("pdf", "gif")}, "gives no gif; choose from pdf, png, svg, midi"),
        ({"formats": ()}, "choose from"),
        ({"outputs": ("../x",)}, "cannot be an output name"),
        ({"outputs": ("-o",)}, "cannot be an output name"),
        ({"formats": ("svg",), "outputs": ("grade", "grade-8")}, "'grade-8' would be taken for a page"),
        ({"formats": ("png",), "outputs": ("a", "a-page2")}, "would be taken for a page"),
        ({"files": {"-o.ly": ""}, "main": "-o.ly"}, "cannot be an output name|no name for a page text"),
        ({"files": {"sheet.ly": "", "../x.ily": ""}}, "no name for a page text"),
        ({"files": {"sheet.ly": "", "x.pdf": ""}}, "no name for a page text"),
    ],
)
def test_orders_that_cannot_be_met_are_refused_before_anything_runs(
    wrong: dict[str, object], message: str, fake: Callable[[str], Program], temporary: Path
) -> None:
    never = fake("open('../ran', 'w')")
    with pytest.raises(EngravingError, match=message):
        engrave(**{"files": PAGE, "program": never, **wrong})  # type: ignore[arg-type]
    assert not (temporary / "ran").exists()


@pytest.mark.parametrize(("by", "too_full"), [("0.6", False), ("1.4", False), ("2.1", True), ("182.9", True)])
def test_a_page_too_full_by_less_than_is_seen_is_kept(
    fake: Callable[[str], Program], by: str, *, too_full: bool
) -> None:
    said = f"warning: compressing over-full page by {by} staff-spaces\nwarning: page 1 has been compressed\n"
    result = engrave(PAGE, program=fake(f"{GOOD_PDF}\nsys.stderr.write({said!r})"))
    assert (result.overfull, result.warnings) == (too_full, ())
