"""The suite as far as it goes on another system: what Windows or a Mac lacks is absent, or the disk is one of theirs.

    python tests/elsewhere/run.py windows [arguments of pytest]
    python tests/elsewhere/run.py mac
    python tests/elsewhere/run.py ntfs      (mounts an NTFS that ignores case; needs root, FUSE, mkntfs and lowntfs-3g)

What is proved so, what is left out and what remains unproved stands in README.md beside this.
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.elsewhere.worn import PLATFORMS, VARIABLE

ROOT = Path(__file__).parents[2]
# Tests of POSIX itself: they are skipped on Windows and are left out where it is worn.
POSIX = (
    "tests/faults",
    "tests/files",
    "tests/practice_log/test_kills.py",
    "tests/samples",
    "tests/elsewhere",
)
LEFT_OUT = {"windows": POSIX, "mac": ("tests/elsewhere",), "ntfs": POSIX}
_LILYPOND, _RESULT, _PROGRAM = (
    f"tests/engraving/test_{name}.py::test_" for name in ("lilypond", "result", "program")
)
_COMPUTERS = "tests/practice/test_two_computers.py::test_"
# Single tests, and why they say nothing there.
SAYS_NOTHING = {
    "windows": {
        f"{_LILYPOND}one_that_hangs_is_stopped_with_all_it_started": "LilyPond alone is ended, not what it started",
        f"{_LILYPOND}a_start_that_is_not_wanted_leaves_nothing": "nothing is started early",
        f"{_LILYPOND}an_interrupt_stops_lilypond_and_leaves_nothing": "nothing is started early",
        f"{_LILYPOND}only_a_short_text_is_engraved_without_collection": "nothing is started early",
        f"{_LILYPOND}nothing_of_the_environment_leaks_and_the_arguments_are_plain": "nothing is started early",
        f"{_LILYPOND}time_memory_and_file_size_are_limited": "there are no such limits",
        f"{_LILYPOND}a_page_that_eats_memory_is_stopped": "there are no such limits",
        f"{_RESULT}every_unsound_end_is_one_clear_line": "no program ends by a signal",
        f"{_PROGRAM}without_any_the_message_says_how_to_get_it_here": "it is for other systems",
        "tests/practice_log/test_upgrade.py::test_the_command_line_prints_the_same_sheet": "it reads messages as UTF-8",
        f"{_COMPUTERS}a_damaged_log_is_told_mended": "it uses hard links, which Windows has",
        f"{_COMPUTERS}what_cannot_be_mended_is_named": "the same",
    },
    "mac": {
        f"{_LILYPOND}time_memory_and_file_size_are_limited": "there are no such limits",
        f"{_LILYPOND}a_page_that_eats_memory_is_stopped": "there are no such limits",
        f"{_PROGRAM}without_any_the_message_says_how_to_get_it_here": "it is for other systems",
    },
    "ntfs": {},
}
WARNINGS = r"""filterwarnings=
error
ignore::EncodingWarning
error::EncodingWarning:generator\..*
"""


@contextmanager
def ntfs() -> Iterator[Path]:
    """A folder on an NTFS that takes no names Windows refuses and ignores the case of letters."""
    with tempfile.TemporaryDirectory() as name:
        image, folder = Path(name) / "disk", Path(name) / "mounted"
        folder.mkdir()
        with image.open("wb") as file:
            file.truncate(1 << 30)
        subprocess.run(["mkntfs", "-q", "-F", "-f", image], check=True, capture_output=True)
        subprocess.run(["lowntfs-3g", image, folder, "-o", "ignore_case,windows_names,umask=077"], check=True)
        try:
            yield folder
        finally:
            subprocess.run(["umount", folder], check=True)


def pytest_run(system: str, more: list[str]) -> int:
    """Run the suite; pytest's exit code."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONWARNDEFAULTENCODING": "1"}
    words = [
        sys.executable,
        "-m",
        "pytest",
        "-o",
        WARNINGS,
        *(f"--ignore={path}" for path in LEFT_OUT[system]),
    ]
    words += [f"--deselect={test}" for test in SAYS_NOTHING[system]]
    if system in PLATFORMS:
        environment |= (
            {VARIABLE: system, "PYTHONIOENCODING": "cp1252"} if system == "windows" else {VARIABLE: system}
        )
        words += ["-p", "tests.elsewhere.worn"]
    return subprocess.run([*words, *more], cwd=ROOT, env=environment, check=False).returncode


def main(arguments: list[str]) -> int:
    """Run what the first word names."""
    system, *more = arguments or [""]
    if system == "ntfs":
        with ntfs() as folder:
            return pytest_run(system, [f"--basetemp={folder}/tests", *more])
    if system not in PLATFORMS:
        print(__doc__, file=sys.stderr)
        return 2
    return pytest_run(system, more)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
