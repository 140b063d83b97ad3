"""Thousands of hostile and random texts through LilyPond: does any of them do anything?

    python tests/benchmarks/hostile_text.py [--texts 10000] [--batch 250] [--raw 60] [--seed 1]

Each text goes, escaped, into a variable, a header, two markups, a syllable and a Scheme string (some also at
a staff), some hundreds in one run of LilyPond. Counted are the texts that made their marker file, the runs
that failed, the pages that the second lock refused, and the strings that LilyPond or Guile misread.
As a control some of the texts are also put in unescaped, one a run: many of these must fire, and the
second lock must refuse every one that did. Exit code 1 if anything is not as it should be.
"""

import argparse
import contextlib
import random
import sys
import tempfile
import time
from pathlib import Path

from generator.engraving.escape import ly_string, syllable_string
from generator.engraving.inspect_text import check
from generator.engraving.lilypond import engrave, find
from generator.errors import EngravingError
from generator.files.text import clean

OPENINGS = (
    '"',
    '\\"',
    '\\\\"',
    '\\\\\\"',
    '"\n',
    '"\r',
    '"}',
    '"\0',
    '\u202e"',
    '\ud800"',
    '%}"',
    "",
    "\n",
    "\\",
    "}",
    "~",
)
COMMANDS = (
    '#(open-output-file "../fired-@")',
    '$(open-output-file "../fired-@")',
    "#(open-output-file (symbol->string '../fired-@))",
    "$(open-output-file (symbol->string '../fired-@))",
    "#@(list (open-output-file (symbol->string '../fired-@)))",
    '#(system "touch ../fired-@")',
    "#{ $(open-output-file (symbol->string '../fired-@)) #}",
    '\\include "../fired.ily"',
    '#(begin (open-output-file "../fired-@") (primitive-exit 0))',
)
ENDINGS = ("", '"', ' "', "\\", "%{", "\n%", ' title = "', "a" * 300, "\n", " }")
PIECES = (
    *(
        '"',
        "\\",
        "\n",
        "\r",
        "\0",
        "\x1b",
        "#",
        "$",
        "#@",
        "#(",
        ")",
        "{",
        "}",
        "%",
        "%{",
        "%}",
        "\\n",
        "\\x41;",
        "~",
    ),
    *(
        "_",
        "--",
        "<<",
        "|",
        "=",
        "'",
        "\u2028",
        "\u202e",
        "\ufeff",
        "\ud800",
        "\u0301",
        "\u200d",
        "\u266d",
        "G",
        " ",
    ),
    *("\u6f22", "\u05e9", "\U0001f3b5", "\\markup", "\\include", "#t", "(quit)", "a" * 1000),
)
# The places a careless template might print a text in, without its escape.
RAW_PLACES = (
    '\\header {{ title = "{}" }} {{ c\'4 }}',
    "\\markup {{ {} }} {{ c'4 }}",
    "{{ c'4 d' e' }} \\addlyrics {{ tu {} }}",
    "% {}\n{{ c'4 }}",
    "{{ c'4 {} }}",
    '\\score {{ \\new Staff \\with {{ instrumentName = "{}" }} {{ c\'4 }} }}',
)
WORDS = frozenset({"version", "header", "markup", "italic", "score", "new", "with", "repeat", "addlyrics"})


def say(line: str) -> None:
    """Print a line at once, for a run of minutes."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def make_text(chance: random.Random, number: int) -> str:
    """One text: half of them try to run a command, the others are rubbish of several kinds."""
    kind = chance.randrange(4)
    if kind < 2:
        text = chance.choice(OPENINGS) + chance.choice(COMMANDS) + chance.choice(ENDINGS)
        return text.replace("@", str(number))
    if kind == 2:
        return "".join(chance.choices(PIECES, k=chance.randrange(1, 30)))
    return "".join(chr(chance.randrange(0x110000)) for _ in range(chance.randrange(1, 40)))


def name(number: int) -> str:
    """A name LilyPond accepts: letters only."""
    return "t" + "".join(chr(ord("a") + int(digit)) for digit in str(number)) + "x"


def page(texts: list[str]) -> str:
    """The texts, escaped, in every kind of place."""
    quoted = [ly_string(text) for text in texts]
    lines = ['\\version "2.24.0"', *(f"{name(i)} = {text}" for i, text in enumerate(quoted))]
    lines += [f"\\markup {{ {text} \\italic {text} }}" for text in quoted]
    for start in range(0, len(texts), 25):
        group = quoted[start : start + 25]
        sung = " ".join(syllable_string(text) for text in texts[start : start + 25])
        fields = " ".join(f"{name(i)} = {text}" for i, text in enumerate(group))
        staff = f"\\new Staff \\with {{ instrumentName = {group[0]} }} {{ \\repeat unfold 25 c'4 }}"
        lines.append(
            f"\\score {{ {staff} \\addlyrics {{ {sung} }} \\header {{ piece = {group[-1]} {fields} }} }}"
        )
    return "\n".join(lines) + "\n"


def report(texts: list[str]) -> str:
    """Scheme that writes down what LilyPond's reader, and then Guile's, made of each text."""
    variables = " ".join(name(i) for i in range(len(texts)))
    strings = " ".join(ly_string(text) for text in texts)
    return (
        '#(let ((port (open-output-file "../seen"))) (set-port-encoding! port "UTF-8") (for-each'
        f" (lambda (s) (display s port) (newline port)) (list {variables} {strings})) (close-port port))\n"
    )


def marks(folder: Path) -> list[Path]:
    """The marker files that texts made; they are removed, so that the next look finds only new ones."""
    found = [path for path in folder.glob("fired-*") if path.is_file()]
    for path in found:
        path.unlink()
    return found


def escaped(texts: list[str], batch: int, folder: Path) -> dict[str, int]:
    """All texts as our templates print them."""
    count = dict.fromkeys(("texts", "runs", "fired", "failed runs", "refused pages", "misread strings"), 0)
    for start in range(0, len(texts), batch):
        some = texts[start : start + batch]
        body = page(some)
        count["texts"] += len(some)
        count["runs"] += 1
        try:
            check(body, WORDS)
        except EngravingError as problem:
            count["refused pages"] += 1
            say(f"refused: {problem}")
        try:
            engrave({"sheet.ly": body + report(some)}, timeout=300)
            seen = (folder / "seen").read_text(encoding="utf-8").split("\n")[:-1]
            wanted = [clean(text) for text in some] * 2
            count["misread strings"] += sum(a != b for a, b in zip(seen, wanted, strict=False))
            count["misread strings"] += abs(len(seen) - len(wanted))
        except EngravingError as problem:
            count["failed runs"] += 1
            say(f"failed: {problem}")
        count["fired"] += len(marks(folder))
    return count


def unescaped(texts: list[str], wanted: int, folder: Path) -> dict[str, int]:
    """Some of the texts as they are, one a run."""
    count = dict.fromkeys(("raw texts", "raw fired", "raw refused", "raw fired but not refused"), 0)
    hostile = [text for text in texts if "fired" in text and "\ud800" not in text]
    for number, text in enumerate(hostile[:wanted]):
        body = '\\version "2.24.0"\n' + RAW_PLACES[number % len(RAW_PLACES)].format(text) + "\n"
        try:
            check(body, WORDS)
            refused = False
        except EngravingError:
            refused = True
        with contextlib.suppress(EngravingError):
            engrave({"sheet.ly": body}, timeout=20)
        fired = bool(marks(folder))
        count["raw texts"] += 1
        count["raw fired"] += fired
        count["raw refused"] += refused
        count["raw fired but not refused"] += fired and not refused
        if fired and not refused:
            say(f"not refused: {body!a}")
    return count


def main() -> int:
    """Run both and print the counts."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    for option, usual in (("--texts", 10_000), ("--batch", 250), ("--raw", 60), ("--seed", 1)):
        options.add_argument(option, type=int, default=usual)
    chosen = options.parse_args()
    chance = random.Random(chosen.seed)
    texts = [make_text(chance, number) for number in range(chosen.texts)]
    began = time.perf_counter()
    with tempfile.TemporaryDirectory(prefix="scalewright-hostile-") as where:
        tempfile.tempdir = where  # so that ".." in a text leads here
        (Path(where) / "fired.ily").write_text('#(open-output-file "../fired-include")\n')
        count = {
            **escaped(texts, chosen.batch, Path(where)),
            **unescaped(texts, chosen.raw, Path(where)),
        }
        tempfile.tempdir = None
    say(f"LilyPond {find().version}, seed {chosen.seed}, {time.perf_counter() - began:.0f} s")
    for what, number in count.items():
        say(f"{what:26} {number:6}")
    faults = ("fired", "failed runs", "refused pages", "misread strings", "raw fired but not refused")
    return int(any(count[fault] for fault in faults) or (chosen.raw > 0 and not count["raw fired"]))


if __name__ == "__main__":
    sys.exit(main())
