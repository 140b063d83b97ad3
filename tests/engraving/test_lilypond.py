"""LilyPond is run, limited, stopped and cleaned up after, as a stand-in and as itself."""

import re
import subprocess
import sys
import textwrap
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from generator.engraving import lilypond, limits
from generator.engraving.lilypond import engrave, start
from generator.engraving.program import Program
from generator.errors import EngravingError

PAGE = {"sheet.ly": '\\version "2.24.0"\n{ c\'4 }\n'}
GOOD_PDF = "open('sheet.pdf', 'wb').write(b'%PDF-1.5 ... %%EOF\\n')"
GOOD_PNG = "open('sheet.png', 'wb').write(b'\\x89PNG\\r\\n\\x1a\\n... IEND\\xaeB`\\x82')"
pytestmark = [
    pytest.mark.skipif(sys.platform == "win32", reason="the stand-ins are scripts with a #! line"),
    pytest.mark.usefixtures("temporary"),
]


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


def test_only_a_short_text_is_engraved_without_collection(fake: Callable[[str], Program]) -> None:
    shows = (
        f"{GOOD_PDF}; text = sys.stdin.read() if sys.argv[-1] == '-' else '';"
        "print('warning:', os.environ.get('GC_DONT_GC'), text[:16].strip(), file=sys.stderr)"
    )
    long = "%" * (limits.UNCOLLECTED + 1)
    assert engrave({"sheet.ly": long[:-1]}, program=fake(shows)).warnings == ("1",)
    assert engrave({"sheet.ly": long}, program=fake(shows)).warnings == ("None",)
    # One that waits for its text has to be told with it.
    for text, begin in (("% short", "% short"), (long, "#(gc-enable) %%%")):
        with start(fake(shows)) as starting:
            assert starting.finish(text).warnings == (f"1 {begin}",)


@pytest.mark.lilypond
def test_a_long_text_is_engraved_either_way() -> None:
    long = PAGE["sheet.ly"] + "%" * limits.UNCOLLECTED
    assert engrave({"sheet.ly": long}).files["sheet.pdf"].startswith(b"%PDF")
    with start() as starting:
        assert starting.finish(long).files["sheet.pdf"].startswith(b"%PDF")


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
    assert set(names.split()) <= {
        *lilypond._KEPT,
        "LC_ALL",
        "LC_CTYPE",
        "TMPDIR",
        "TEMP",
        "TMP",
        "GC_DONT_GC",
    }
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
    monkeypatch.setattr(limits, "FILE_LIMIT", 1 << 16)
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


# From here on with LilyPond itself.

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
    monkeypatch.setattr(limits, "MEMORY_LIMIT", 400 << 20)
    page = "#(let loop ((l '())) (loop (cons (make-vector 100000 0) l)))"
    with pytest.raises(EngravingError, match="needed more memory than it may use"):
        engrave({"sheet.ly": f'\\version "2.24.0"\n{page}\n'}, program=real, timeout=20)
