"""Exercises as pictures for a screen: made, and kept in memory while the program runs; placed nowhere."""

import contextlib
import re
import threading
from collections import OrderedDict
from pathlib import Path
from types import TracebackType
from typing import Self

from generator.engraving import lilypond
from generator.engraving.render_screen import HEAD, SAMPLE, includes, render_screen
from generator.engraving.result import EngravingOrder
from generator.engraving.warm import WarmPress
from generator.errors import EngravingError, MachineError, RequestError
from generator.exercise.records import Exercise
from generator.files.resources import data_folder
from generator.pages.screen import Screen, ScreenLayout, lay_out_on

KEPT = 400
"""Texts whose pictures stay in memory: those of a month of sheets, about 10 MB."""
LONGEST = 1200
"""Notes that one exercise on a screen may have; more are a mistake, or belong into a book."""
_ORDER = EngravingOrder(("svg",))
_BOX = re.compile(rb'viewBox="[-\d.]+ [-\d.]+ ([\d.]+) ([\d.]+)"')
_SHARES = (0.85, 0.7)
_FAILURES = 3

Pictures = tuple[str, ...]


class ScreenPress:
    """Makes pictures for screens with a LilyPond that stays. May be used by several threads.

    Where none can stay, each picture is engraved by a LilyPond of its own.
    """

    def __init__(self, press: WarmPress | None = None) -> None:
        self._templates: Path = data_folder("templates")
        self._program = lilypond.find()
        self._press = press or WarmPress(self._program, includes(self._templates), HEAD, SAMPLE, _ORDER)
        self._kept: OrderedDict[str, Pictures] = OrderedDict()
        self._lock = threading.Lock()
        self._failures = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def pid(self) -> int | None:
        """Number of the LilyPond that waits, or None."""
        return self._press.pid

    def warm_up(self) -> None:
        """Get ready; where that fails each picture is made by itself."""
        with contextlib.suppress(MachineError):
            self._press.warm_up()

    def begin_to_warm_up(self) -> None:
        """The same beside whatever else is done."""
        threading.Thread(target=self.warm_up, daemon=True).start()

    def pictures(self, exercise: Exercise, screen: Screen) -> Pictures:
        """An exercise as SVG texts, one for each page, all as wide as the screen.

        Args:
            exercise: the music.
            screen: the room for it.

        Raises:
            RequestError: it is too long for a screen.
            MachineError: LilyPond failed.
        """
        if sum(len(bar.notes) for bar in exercise.bars) > LONGEST:
            raise RequestError(
                f"this exercise has more than {LONGEST} notes; ask for a smaller span, or print it as a sheet"
            )
        laid = lay_out_on(screen, exercise)
        found = self._made(laid)
        for share in _SHARES:
            if len(laid.layout.lines) == 1 or all(_fits(one, screen) for one in found):
                break
            laid = lay_out_on(screen, exercise, share)
            found = self._made(laid)
        return found

    def all_pictures(self, exercise: Exercise, screen: Screen) -> tuple[Pictures, ...]:
        """The same for an exercise and for each piece of music that follows under its number."""
        return tuple(self.pictures(one, screen) for one in (exercise, *exercise.follows))

    def close(self) -> None:
        """End the LilyPond that waits, and leave nothing behind."""
        self._press.close()

    def _made(self, laid: ScreenLayout) -> Pictures:
        text = render_screen(laid, self._templates)
        with self._lock:
            if text in self._kept:
                self._kept.move_to_end(text)
                return self._kept[text]
        found = tuple(data.decode() for data in self._engraved(text).values())
        with self._lock:
            self._kept[text] = found
            while len(self._kept) > KEPT:
                self._kept.popitem(last=False)
        return found

    def _engraved(self, text: str) -> dict[str, bytes]:
        if self._press.takes(text) and self._failures < _FAILURES:
            try:
                made = dict(self._press.engrave(text).files)
            except EngravingError:
                self._failures += 1  # and once more below, by a LilyPond of its own
            else:
                self._failures = 0
                return made
        files = {lilypond.MAIN: text, **includes(self._templates)}
        return dict(lilypond.engrave(files, formats=_ORDER.formats, program=self._program, timeout=20).files)


def height_of(picture: str, width: int) -> float:
    """How many pixels high a picture is that is shown so many wide.

    Raises:
        MachineError: it is no picture of ours.
    """
    box = _BOX.search(picture[:1000].encode())
    if box is None:
        raise MachineError("LilyPond wrote a picture without its size")
    return float(box[2]) / float(box[1]) * width


def _fits(picture: str, screen: Screen) -> bool:
    return height_of(picture, screen.width) <= screen.height
