"""LilyPond found, run, limited, judged; with small stand-ins for every way it can go wrong."""

import importlib
import os
import re
import subprocess  # noqa: TID251
import sys
import tempfile
import textwrap
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from generator.engraving import lilypond, program
from generator.engraving.lilypond import engrave, find, start
from generator.engraving.program import Program
from generator.errors import EngravingError, LilyPondMissingError

PAGE = {"sheet.ly": '\\version "2.24.0"\n{ c\'4 }\n'}
GOOD_PDF = "open('sheet.pdf', 'wb').write(b'%PDF-1.5 ... %%EOF\\n')"
GOOD_PNG = "open('sheet.png', 'wb').write(b'\\x89PNG\\r\\n\\x1a\\n... IEND\\xaeB`\\x82')"
posix = pytest.mark.skipif(sys.platform == "win32", reason="the stand-ins are scripts with a #! line")
pytestmark = posix


@pytest.fixture(autouse=True)
def temporary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for temporary files of its own, so that leftovers show."""
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


@pytest.fixture
def script(tmp_path: Path) -> Callable[[str], Path]:
    """Makes a program of a few Python lines."""

    def make(body: str) -> Path:
        path = tmp_path / f"lily{len(list(tmp_path.iterdir()))}"
        path.write_text(f"#!{sys.executable} -SE\nimport os, sys, time, signal\n{textwrap.dedent(body)}\n")
        path.chmod(0o755)
        return path

    return make


@pytest.fixture
def fake(script: Callable[[str], Path]) -> Callable[[str], Program]:
    return lambda body: Program(script(body), "2.24.3")


@pytest.fixture
def real() -> Program:
    try:
        return find()
    except LilyPondMissingError as problem:
        pytest.skip(str(problem))


# --- finding ---------------------------------------------------------------------------------------------


def test_the_python_package_is_known_without_running_it(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("lilypond")
    monkeypatch.setattr(subprocess, "run", lambda *_a, **_k: pytest.fail("LilyPond was run"))
    found = find({})
    assert found.path.is_absolute()
    assert found.cairo
    assert found.version == importlib.import_module("importlib.metadata").version("lilypond")


def test_the_variable_goes_first_and_is_asked_its_version(script: Callable[[str], Path]) -> None:
    path = script("print('GNU LilyPond 2.25.12 (running Guile 3.0)')")
    assert find({program.VARIABLE: str(path)}) == Program(path, "2.25.12", cairo=True)


def test_a_program_without_cairo_is_recognised_by_its_own_message(script: Callable[[str], Path]) -> None:
    path = script("print('GNU LilyPond 2.24.1')  # compiled without CAIRO_BACKEND")
    assert find({program.VARIABLE: str(path)}) == Program(path, "2.24.1", cairo=False)


def test_the_path_is_searched_last(script: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch) -> None:
    hide_the_package(monkeypatch)
    path = script("print('GNU LilyPond 2.24.0')")
    path = path.rename(path.with_name("lilypond"))
    assert find({"PATH": str(path.parent)}) == Program(path, "2.24.0")


@pytest.mark.parametrize(
    ("body", "message"),
    [
        (
            "print('GNU LilyPond 2.22.2')",
            r"is LilyPond 2\.22\.2, but 2\.24\.0 or newer is needed; get it with",
        ),
        ("print('GNU LilyPond 2.9.30')", r"is LilyPond 2\.9\.30, but"),
        ("print('hello')", "is not a working LilyPond; get it with"),
        ("sys.exit('LilyPond 2.24.3')", "is not a working LilyPond"),
        ("os.kill(os.getpid(), 11)", "is not a working LilyPond"),
    ],
)
def test_old_and_broken_programs_are_refused(body: str, message: str, script: Callable[[str], Path]) -> None:
    with pytest.raises(LilyPondMissingError, match=message):
        find({program.VARIABLE: str(script(body))})


def test_a_program_for_another_machine(tmp_path: Path) -> None:
    (tmp_path / "lilypond").write_bytes(b"\x7fELF nonsense")
    (tmp_path / "lilypond").chmod(0o755)
    with pytest.raises(LilyPondMissingError, match=r"does not run \(Exec format error\); get it with"):
        find({program.VARIABLE: str(tmp_path / "lilypond")})
    with pytest.raises(LilyPondMissingError, match="does not run"):
        engrave(PAGE, program=Program(tmp_path / "lilypond", "2.24.3"))


def test_a_variable_that_points_nowhere_is_an_error_and_not_a_silent_detour(tmp_path: Path) -> None:
    for wrong in (tmp_path / "gone", tmp_path, tmp_path / "plain.txt"):
        (tmp_path / "plain.txt").write_text("not executable")
        with pytest.raises(
            LilyPondMissingError, match=r"SCALEWRIGHT_LILYPOND is set to .*, which is no program"
        ):
            find({program.VARIABLE: str(wrong), "PATH": os.environ["PATH"]})


@pytest.mark.parametrize(
    ("system", "machine", "way"),
    [
        ("linux", "x86_64", "pip install lilypond==2.24.3"),
        ("linux", "aarch64", "apt-get install lilypond"),
        ("darwin", "x86_64", "pip install lilypond==2.24.3"),
        ("darwin", "arm64", "brew install lilypond"),
        ("win32", "", "pip install lilypond==2.24.3"),
        ("freebsd14", "amd64", "the package of that name"),
    ],
)
def test_without_any_the_message_says_how_to_get_it_here(
    system: str, machine: str, way: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    hide_the_package(monkeypatch)
    monkeypatch.setattr(sys, "platform", system)
    monkeypatch.setattr(os, "uname", lambda: os.uname_result(("", "", "", "", machine)))
    monkeypatch.setattr(program.shutil, "which", lambda *_a, **_k: None)
    with pytest.raises(LilyPondMissingError, match=re.escape(way)) as caught:
        find({"PATH": "/nowhere"})
    assert "\n" not in str(caught.value)
    assert "set SCALEWRIGHT_LILYPOND" in str(caught.value)


def hide_the_package(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> None:
        raise ModuleNotFoundError(name)

    monkeypatch.setattr(program.importlib, "import_module", missing)


# --- judging ---------------------------------------------------------------------------------------------


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


# --- running ---------------------------------------------------------------------------------------------


def is_running(number: int) -> bool:
    try:
        state = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return False
    return state not in "ZX"


def are_gone(numbers: list[int]) -> bool:
    """Whether these processes end; a killed one that is nobody's child any more may take a moment."""
    deadline = time.monotonic() + 2
    while any(is_running(number) for number in numbers) and time.monotonic() < deadline:
        time.sleep(0.01)
    return not any(is_running(number) for number in numbers)


def wait_for(path: Path) -> str:
    deadline = time.monotonic() + 10
    while not (path.exists() and path.read_text()):
        assert time.monotonic() < deadline, f"{path.name} never came"
        time.sleep(0.01)
    return path.read_text()


HANGS = """
    import subprocess  # noqa: TID251
    child = subprocess.Popen(["sleep", "60"])
    open("../numbers.part", "w").write(f"{os.getpid()} {child.pid}")
    os.rename("../numbers.part", "../numbers")
    time.sleep(60)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="looks in /proc")
def test_one_that_hangs_is_stopped_with_all_it_started(
    fake: Callable[[str], Program], temporary: Path
) -> None:
    began = time.monotonic()
    with pytest.raises(
        EngravingError, match=r"was not done after 1\.5 seconds and was stopped \(text and log"
    ):
        engrave(PAGE, program=fake(HANGS), timeout=1.5)
    assert time.monotonic() - began < 5
    numbers = [int(number) for number in wait_for(temporary / "numbers").split()]
    assert len(numbers) == 2
    assert are_gone(numbers)


@pytest.mark.skipif(sys.platform != "linux", reason="looks in /proc")
@pytest.mark.parametrize("way", ["cancel", "leave", "error"])
def test_a_start_that_is_not_wanted_leaves_nothing(
    way: str, fake: Callable[[str], Program], temporary: Path
) -> None:
    began = None
    try:
        with start(fake(HANGS), files={"house.ily": "% house\n"}) as starting:
            numbers = [int(number) for number in wait_for(temporary / "numbers").split()]
            assert all(is_running(number) for number in numbers)
            began = time.monotonic()
            if way == "cancel":
                starting.cancel()
                assert are_gone(numbers)
            if way == "error":
                raise ZeroDivisionError
    except ZeroDivisionError:
        pass
    assert began is not None
    assert time.monotonic() - began < 1
    assert are_gone(numbers)
    assert [path.name for path in temporary.iterdir()] == ["numbers"]


@pytest.mark.skipif(sys.platform != "linux", reason="looks in /proc")
def test_an_interrupt_stops_lilypond_and_leaves_nothing(
    fake: Callable[[str], Program], temporary: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupt(*_a: object, **_k: object) -> None:
        wait_for(temporary / "numbers")
        raise KeyboardInterrupt

    monkeypatch.setattr(subprocess.Popen, "communicate", interrupt)
    with pytest.raises(KeyboardInterrupt):
        engrave(PAGE, program=fake(HANGS))
    numbers = [int(number) for number in (temporary / "numbers").read_text().split()]
    assert are_gone(numbers)
    assert [path.name for path in temporary.iterdir()] == ["numbers"]


def test_nothing_of_the_environment_leaks_and_the_arguments_are_plain(
    fake: Callable[[str], Program], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SECRET_TOKEN", "x")
    monkeypatch.setenv("LANG", "de_DE.UTF-8")
    shows = (
        f"{GOOD_PDF}; {GOOD_PNG}; print('warning:', *sorted(os.environ), '|', *sys.argv[1:], file=sys.stderr)"
    )
    (line,) = engrave(PAGE, program=fake(shows)).warnings
    names, _, arguments = line.partition(" | ")
    # LC_CTYPE is set by Python itself.
    assert set(names.split()) <= {*lilypond._KEPT, "LC_ALL", "LC_CTYPE", "TMPDIR", "TEMP", "TMP"}
    assert arguments == "-dno-point-and-click --loglevel=WARNING -dbackend=cairo -f pdf sheet.ly"
    with start(fake(shows), formats=("pdf", "png"), resolution=80) as starting:
        (line,) = starting.finish("x").warnings
    assert line.endswith("-dbackend=cairo -f pdf,png -dresolution=80 -o sheet -")


@pytest.mark.skipif(sys.platform != "linux", reason="limits are set on Linux only")
def test_time_memory_and_file_size_are_limited(
    fake: Callable[[str], Program], monkeypatch: pytest.MonkeyPatch
) -> None:
    shows = """
        import resource
        time.sleep(0.1)
        kinds = resource.RLIMIT_CPU, resource.RLIMIT_FSIZE, resource.RLIMIT_AS
        print("warning:", *(resource.getrlimit(kind)[0] for kind in kinds), file=sys.stderr)
    """
    result = engrave(PAGE, program=fake(f"{textwrap.dedent(shows)}\n{GOOD_PDF}"), timeout=30)
    assert result.warnings == (f"35 {50 << 20} {2 << 30}",)
    monkeypatch.setattr(lilypond, "FILE_LIMIT", 1 << 16)
    writes = """
        time.sleep(0.1)
        signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
        open("sheet.pdf", "wb").write(b"%PDF-" + b" " * (1 << 20) + b"%%EOF")
    """
    with pytest.raises(EngravingError, match="wrote a larger file than it may and was stopped"):
        engrave(PAGE, program=fake(writes))


def test_without_cairo_it_is_run_again_the_other_way_and_remembered(fake: Callable[[str], Program]) -> None:
    other = fake(
        f"""
        if "-dbackend=cairo" in sys.argv:
            sys.exit("fatal error: compiled without CAIRO_BACKEND")
        {GOOD_PDF}
        open("sheet.svg", "w").write("<svg></svg>")
        print("warning: run", *sys.argv[3:6], file=sys.stderr)
        """
    )
    result = engrave(PAGE, program=other, formats=("pdf", "svg"))
    assert result.warnings == ("run -dbackend=ps -f pdf", "run -dbackend=svg -f svg")
    assert list(result.files) == ["sheet.pdf", "sheet.svg"]
    assert result.program == Program(other.path, "2.24.3", cairo=False)
    for known in (other, result.program):
        with start(known, formats=("svg", "pdf")) as starting:
            assert list(starting.finish("x").files) == ["sheet.svg", "sheet.pdf"]


def test_a_flood_of_messages_neither_blocks_nor_fills_the_memory(fake: Callable[[str], Program]) -> None:
    loud = fake(f"{GOOD_PDF}\nfor _ in range(300): sys.stderr.write('x' * 9999 + '\\n')")
    assert engrave(PAGE, program=loud, timeout=20).files
    with start(loud, timeout=20) as starting:
        assert starting.finish("x" * 1_000_000).files


# --- with LilyPond itself --------------------------------------------------------------------------------

HOUSE = '\\language "english"\n\\header { tagline = ##f }\n'
BOOKS = """\\version "2.24.0"
\\include "house.ily"
\\book { \\bookOutputName "one" \\score { { bf'4 \\pageBreak d' } \\layout { } \\midi { } } }
\\book { \\bookOutputName "two" \\score { { c'4 d' } \\layout { } \\midi { } } }
"""


@pytest.mark.lilypond
def test_two_books_in_every_format_started_early(real: Program, temporary: Path) -> None:
    with start(real, files={"house.ily": HOUSE}, formats=("pdf", "png", "svg", "midi")) as starting:
        result = starting.finish(BOOKS, outputs=("one", "two"))
    assert list(result.files) == [
        *("one.pdf", "one-1.png", "one-2.png", "one-1.svg", "one-2.svg", "one.midi"),
        *("two.pdf", "two.png", "two.svg", "two.midi"),
    ]
    assert result.warnings == ()
    assert not list(temporary.iterdir())


@pytest.mark.lilypond
def test_both_ways_give_the_same_page(real: Program, tmp_path: Path) -> None:
    page = '\\version "2.24.0"\n\\include "house.ily"\n\\markup "Harbour Street"\n{ bf\'4 fs\' }\n'
    plain = engrave({"sheet.ly": page, "house.ily": HOUSE}, program=real)
    with start(real) as starting:
        early = starting.finish(page, files={"house.ily": HOUSE})
    texts = []
    for name, result in (("plain", plain), ("early", early)):
        (tmp_path / name).write_bytes(result.files["sheet.pdf"])
        reader = PdfReader(tmp_path / name)
        assert len(reader.pages) == 1
        texts.append(reader.pages[0].extract_text())
    assert texts[0] == texts[1]
    assert "Harbour Street" in texts[0]


@pytest.mark.lilypond
def test_a_cropped_picture_is_smaller_than_a_page(real: Program) -> None:
    result = engrave(PAGE, program=real, formats=("png", "pdf"), crop=True, resolution=50)
    assert list(result.files) == ["sheet.png", "sheet.pdf"]
    width, height = (int.from_bytes(result.files["sheet.png"][at : at + 4]) for at in (16, 20))
    assert width < 300  # of 413 dots for 210 mm of paper
    assert height < 100


@pytest.mark.lilypond
@pytest.mark.parametrize(
    ("music", "message"),
    [
        ("{ c'4\n \\foo }", r"sheet\.ly:4:2: error: unknown escaped string: `\\foo'"),
        ('\\include "gone.ily"\n{ c\'4 }', r"sheet\.ly:3:\d+: error: cannot find file: `gone.ily'"),
        ("{ c'4 |\nd' }", r"sheet\.ly:3:\d+: warning: barcheck failed at: 1/4"),
    ],
)
def test_mistakes_are_shown_where_they_are(real: Program, music: str, message: str, temporary: Path) -> None:
    with start(real) as starting, pytest.raises(EngravingError, match=message) as caught:
        starting.finish(f'\\version "2.24.0"\n\n{music}\n')
    assert re.search(r"kept in .*scalewright-failed-", str(caught.value))
    assert len(list(temporary.iterdir())) == 1


@pytest.mark.lilypond
def test_a_page_that_never_ends_is_stopped(real: Program) -> None:
    page = '\\version "2.24.0"\n#(let loop () (loop))\n'
    with pytest.raises(EngravingError, match=r"was not done after 1 seconds"):
        engrave({"sheet.ly": page}, program=real, timeout=1)


@pytest.mark.lilypond
@pytest.mark.skipif(sys.platform != "linux", reason="memory is limited on Linux only")
def test_a_page_that_eats_memory_is_stopped(real: Program, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lilypond, "MEMORY_LIMIT", 400 << 20)
    page = "#(let loop ((l '())) (loop (cons (make-vector 100000 0) l)))"
    with pytest.raises(EngravingError, match="needed more memory than it may use"):
        engrave({"sheet.ly": f'\\version "2.24.0"\n{page}\n'}, program=real, timeout=20)
