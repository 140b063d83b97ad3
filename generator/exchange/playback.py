"""What a player plays along with: clicks, a drone, a count-in and the pitch it is all tuned to."""

from dataclasses import dataclass
from typing import Literal

from generator.errors import RequestError, shown

Click = Literal["every", "backbeat", "dropout", "none"]
Drone = Literal["none", "tonic", "fifth", "third", "equal third"]
CLICKS: tuple[Click, ...] = ("every", "backbeat", "dropout", "none")
DRONES: tuple[Drone, ...] = ("none", "tonic", "fifth", "third", "equal third")
MOST_BARS = 2
# A = 440 is ISO 16; orchestras are met from 438 to 446 (lists of piano technicians, 2000 and 2005).
LOWEST_A, HIGHEST_A = 438, 446


@dataclass(frozen=True, slots=True)
class Playback:
    """How an exercise is to sound.

    Attributes:
        click: on every beat; on beats 2 and 4 and so on (backbeat); four bars on and two off (dropout); none.
        drone: none; the concert tonic; with its pure fifth; with fifth and third, pure or equal-tempered.
        pitch: the A above middle C, in Hz.
        count_in: bars counted before each exercise, 0 to 2.
        each: a recording of its own for each exercise.
    """

    click: Click = "every"
    drone: Drone = "none"
    pitch: int = 440
    count_in: int = 1
    each: bool = False

    @property
    def suffix(self) -> str:
        """What to add to a file name, so that other wishes make another file; "" for the usual ones."""
        usual = Playback()
        parts: list[str] = [self.click] if self.click != usual.click else []
        parts += [f"drone {self.drone}"] if self.drone != usual.drone else []
        parts += [f"a{self.pitch}"] if self.pitch != usual.pitch else []
        parts += [f"count {self.count_in}"] if self.count_in != usual.count_in else []
        return "".join(f"-{part.replace(' ', '-')}" for part in parts)

    @classmethod
    def asked(cls, click: str, drone: str, pitch: int, count_in: int, *, each: bool = False) -> "Playback":
        """Read what a person asked for.

        Raises:
            RequestError: an unknown word or a number out of bounds.
        """
        clicks, voices = _folded(click), _folded(drone)
        if clicks not in CLICKS:
            raise RequestError(f"unknown --click {shown(click)}; it can be {', '.join(CLICKS)}")
        if voices not in DRONES:
            raise RequestError(f"unknown --drone {shown(drone)}; it can be {', '.join(DRONES)}")
        if not LOWEST_A <= pitch <= HIGHEST_A:
            raise RequestError(f"--pitch is that of the A in Hz, from {LOWEST_A} to {HIGHEST_A}, not {pitch}")
        if not 0 <= count_in <= MOST_BARS:
            raise RequestError(f"--count-in is a number of bars from 0 to {MOST_BARS}, not {count_in}")
        return cls(clicks, voices, pitch, count_in, each)


def _folded(text: str) -> str:
    return " ".join(text.casefold().replace("-", " ").split())
