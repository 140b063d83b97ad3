"""Kills commands while they write, of every kind that writes, and looks whether anything was lost, halved or left.

    python tests/benchmarks/command_kills.py [--kills 1000] [--seed 1] [--only KIND]...

Each command runs three times: in a copy of the player's folder, to its end, which tells what has to come of it;
then in the folder itself, where it is killed with SIGKILL, at a random moment or at a random step (a file opened or
moved, a statement given to the database); then there again, to its end. After the kill every file under a name that
was asked for is what it was before or what it has to become; the log opens and holds all that it held, and of the
action nothing or everything, where it said that it was done everything. After the second run nothing differs from the
copy, no draft lies about, and no program is at work.

Exits with 1 if anything is wrong. Needs `fork`.
"""

import argparse
import contextlib
import os
import random
import re
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.errors import GeneratorError
from generator.practice_log import Entry, PracticeLog
from tests.benchmarks.deeds import KINDS, PARTS, Player
from tests.benchmarks.killing import Ran, Stop, run

ROUNDS_A_PLAYER = 40  # then a new one begins, so that logs stay short
DRAFT = re.compile(r"\..*|.*\.part|.*\.new|.*-journal|.*-wal|.*-shm")
FAILED = "scalewright-failed-"
PATIENCE = 10.0  # seconds after which a program still at work is one that was left
# What a command says when it has done it.
SAID = re.compile(r"noted: |changed: |taken back: |entries added|entries written|made anew")


def entries_in(log: Path) -> dict[str, Entry]:
    """What a log holds, by seal."""
    with PracticeLog.open(log) as opened:
        return {one.seal: one for one in opened.as_saved()}


def asked_for(folder: Path) -> dict[str, bytes]:
    """Every file under a name that a person sees, log and plan aside."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in _files(folder / "out")}


def _files(folder: Path) -> Iterator[Path]:
    for path in sorted(folder.rglob("*")) if folder.is_dir() else ():
        if path.is_file() and not DRAFT.fullmatch(path.name):
            yield path


def drafts(folder: Path) -> list[str]:
    """What a run leaves that nobody asked for."""
    beside = [path for path in folder.rglob("*") if DRAFT.fullmatch(path.name)]
    scratch = [path for path in (folder / "tmp").iterdir() if not path.name.startswith(FAILED)]
    return [str(path.relative_to(folder)) for path in [*beside, *scratch]]


def at_work(folder: Path) -> list[str]:
    """Programs that have this folder for their own."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            if (place / "cwd").readlink().is_relative_to(folder) and int(place.name) != os.getpid():
                found.append((place / "cmdline").read_bytes().replace(b"\0", b" ").decode(errors="replace"))
    return found


def same_file(name: str, one: bytes, other: bytes) -> bool:
    """Whether two runs made the same of one name; a PDF carries its moment, so its ends and length must do."""
    if name.endswith(".pdf"):
        return all(data.startswith(b"%PDF-") and data.rstrip().endswith(b"%%EOF") for data in (one, other))
    return one == other


class Round:
    """One command, killed."""

    def __init__(self, player: Player, kind: str) -> None:
        self.player, self.kind = player, kind
        self.words = KINDS[kind](player)
        self.moment = player.now()
        self.damaged = player.log.read_bytes() if kind == "repair" else b""
        self.before = {} if self.damaged else entries_in(player.log)
        self.files = asked_for(player.folder)
        copy = player.copied()
        self.whole = run(copy, self.words, self.moment)
        if self.whole.code:
            raise RuntimeError(f"{self.words} ended with {self.whole.code}: {self.whole.err}")
        self.after = entries_in(copy / "home" / "log.sqlite")
        self.made = asked_for(copy)
        self.copies = _daily(copy / "home" / "copies")
        self.waits = player.log.with_name("log.sqlite-wal").exists()
        self.killed = False

    def faults(self) -> Iterator[str]:
        """Kill, look, run again, look again."""
        chance, folder = self.player.chance, self.player.folder
        steps = {
            kind: [place for place, one in enumerate(self.whole.steps, 1) if one == kind] for kind in "fd"
        }
        how = chance.choices(("f", "d", "s"), (4, 2, 3))[0]
        if how != "s" and steps[how]:
            stop = Stop(step=chance.choice(steps[how]))
        else:
            stop = Stop(seconds=chance.uniform(0.001, self.whole.seconds))
        ran = run(folder, self.words, self.moment, stop)
        self.killed = ran.code < 0
        when = f"{self.kind} {' '.join(self.words)}, killed at {stop}"
        yield from (f"{when}: {fault}" for fault in self._halves(ran))
        again = self.words
        if self.kind == "undo" and self._state() == set(self.after):
            again = ("today", "-f", "json", "-q")  # what was undone cannot be undone again
        second = run(folder, again, self.moment)
        if second.code:
            yield f"{when}: then {again} ended with {second.code}: {second.err}"
        yield from (f"{when}, and run again: {fault}" for fault in self._rest(again == self.words))

    def _state(self) -> set[str] | None:
        """The seals in the log as it lies there, looked at in a copy; None where it is damaged."""
        look = self.player.root / "look"
        shutil.rmtree(look, ignore_errors=True)
        shutil.copytree(self.player.folder / "home", look)
        try:
            return set(entries_in(look / "log.sqlite"))
        except GeneratorError:
            return None

    def _halves(self, ran: Ran) -> Iterator[str]:
        """What is lost or half there just after the kill."""
        state, before, after = self._state(), set(self.before), set(self.after)
        done = ran.code == 0 or any(SAID.search(line) for line in ran.err)
        if state is None:
            if not self.damaged or done:
                yield "the log is damaged"
        elif done and state != after:
            yield f"it said {ran.err} and the log does not hold that"
        elif self.damaged:
            if state != after:
                yield "the log is sound and is not what a repair makes of it"
        elif self._is_half(state, before, after):
            yield f"{len(state - before)} of {len(after - before)} entries are new, {len(before - state)} are gone"
        elif self.kind not in PARTS and not before <= state <= after:
            yield f"{len(before - state)} entries are lost, {len(state - after)} are strange"
        yield from self._files(ran)

    def _is_half(self, state: set[str], before: set[str], after: set[str]) -> bool:
        """Whether an action is there in part."""
        part = PARTS.get(self.kind)
        if part is None or state in (before, after):
            return False
        return not (part and before <= state <= after and len(state - before) % part == 0)

    def _files(self, ran: Ran) -> Iterator[str]:
        folder = self.player.folder
        for name, data in asked_for(folder).items():
            if not any(
                name in them and same_file(name, data, them[name]) for them in (self.files, self.made)
            ):
                yield f"{name} is neither what it was nor what it becomes"
        for name in ran.out:
            path = folder / name
            if not path.is_file() or not same_file(name, path.read_bytes(), self.made[name]):
                yield f"{name} was named as done and is not"
        for path in sorted((folder / "home" / "copies").glob("*.sqlite")):
            look = self.player.root / "look" / "copy.sqlite"
            shutil.copyfile(path, look)
            with contextlib.suppress(OSError):
                look.with_name("copy.sqlite-wal").unlink()
            try:
                entries_in(look)
            except GeneratorError as error:
                yield f"the copy {path.name} is not sound: {error}"
        if self.damaged:
            lying = [path.read_bytes() for path in (folder / "home").glob("log.sqlite*")]
            # What waited beside it may have been written into it, for it was opened to look.
            if self.damaged not in lying and not (self.waits and (self._state() is None or len(lying) > 1)):
                yield "the damaged log is gone"

    def _rest(self, whole: bool) -> Iterator[str]:
        """What differs, lies about or runs when the command has come to its end after all."""
        folder = self.player.folder
        until = time.monotonic() + PATIENCE
        while (busy := at_work(folder)) and time.monotonic() < until:
            time.sleep(0.05)
        yield from (f"still at work: {one}" for one in busy)
        if (state := self._state()) != set(self.after):
            yield f"the log holds {len(state or ())} entries and not the {len(self.after)} that it should"
        yield from (f"{name} lies about" for name in drafts(folder))
        if not whole:
            return
        files = asked_for(folder)
        if files.keys() != self.made.keys():
            yield f"there are {sorted(files.keys() ^ self.made.keys())} too many or too few"
        for name in files.keys() & self.made.keys():
            if not same_file(name, files[name], self.made[name]):
                yield f"{name} is not what it should be"
        if _daily(folder / "home" / "copies") != self.copies:
            yield "other copies are kept than should be"
        if len(list((folder / "home" / "copies").glob("*before-import*"))) > 3:
            yield "too many copies from before imports are kept"


def _daily(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob("log-2*.sqlite"))


def kill_many(
    root: Path, kills: int, kinds: list[str], chance: random.Random
) -> tuple[Counter[str], list[str]]:
    """Kill so many commands; how many of each kind were killed, and everything that was wrong."""
    killed: Counter[str] = Counter()
    found: list[str] = []
    player: Player | None = None
    rounds = 0
    while killed.total() < kills:
        if player is None or rounds % ROUNDS_A_PLAYER == 0:
            place = root / str(rounds)
            player = Player(place, chance)
        rounds += 1
        one = Round(player, chance.choice(kinds))
        faults = list(one.faults())
        killed[one.kind] += one.killed
        found += faults
        if faults:  # the next faults would be consequences
            player = None
        if one.killed and killed.total() % 100 == 0:
            print(f"{killed.total()} kills, {len(found)} faults", file=sys.stderr, flush=True)
    return killed, found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", action="append", choices=KINDS)
    asked = parser.parse_args()
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        kinds = asked.only or list(KINDS)
        killed, found = kill_many(Path(folder), asked.kills, kinds, random.Random(asked.seed))
    told = ", ".join(f"{kind} {number}" for kind, number in sorted(killed.items()))
    print(f"{killed.total()} kills in {time.monotonic() - begun:.0f} s ({told}), {len(found)} faults")
    print(*found[:40], sep="\n")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
