"""Screens of the stand page as the demo player sees them, from a real server in a real Chromium.

    python tests/demo/stand_pictures.py --home FOLDER --pictures shared/pictures     the picture of the README
    python tests/demo/stand_pictures.py --home FOLDER --screens FOLDER               every view, to be looked at

FOLDER is a home that `make_demo.py` wrote.
"""

import argparse
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from PIL import Image  # noqa: E402
from playwright.sync_api import Browser, sync_playwright  # noqa: E402

from tests.demo.make_demo import LAST_DAY  # noqa: E402
from tests.fixtures.browser import FLAGS, LAPTOP, PHONE, TABLET, Stand, chromium  # noqa: E402

VIEWS = ("today", "stand/2", "stand/5", "page", "progress", "new", "section", "plan", "settings", "done")
SIZES = {"phone": PHONE, "tablet": TABLET, "laptop": LAPTOP}
GAP, WIDTH, COLOURS = 24, 1240, 160
# The demo ends on a day of its own, and the server's clock has to stand the day after.
PRELUDE = f"""
import datetime as dt
from generator.cli import clock
clock.now = lambda: dt.datetime.combine(
    dt.date({LAST_DAY.year}, {LAST_DAY.month}, {LAST_DAY.day}) + dt.timedelta(days=1), dt.datetime.now().time()
).astimezone()
"""


def main() -> None:
    words = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    words.add_argument("--home", type=Path, required=True)
    words.add_argument("--pictures", type=Path)
    words.add_argument("--screens", type=Path)
    asked = words.parse_args()
    stand = Stand(asked.home, PRELUDE, ("--no-open",)).open()
    try:
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium(), args=[*FLAGS])
            if asked.screens:
                for path in screens(browser, stand, asked.screens):
                    sys.stdout.write(f"{path}\n")
            if asked.pictures:
                sys.stdout.write(f"{picture(browser, stand, asked.pictures / 'stand.png')}\n")
            browser.close()
    finally:
        stand.close()


def opened(browser: Browser, stand: Stand, size: tuple[int, int], scheme: str) -> Any:
    around: Any = {
        "viewport": {"width": size[0], "height": size[1]},
        "color_scheme": scheme,
        "locale": "en-GB",
    }
    page = browser.new_context(**around).new_page()
    page.goto(stand.at)
    page.wait_for_selector("h1")
    return page


def shown(page: Any, view: str, path: Path) -> Path:
    page.evaluate("view => { location.hash = view; }", view)
    page.wait_for_timeout(900)
    page.screenshot(path=path)
    return path


def screens(browser: Browser, stand: Stand, folder: Path) -> Iterator[Path]:
    """Every view at every size, in light and dark."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, size in SIZES.items():
        for scheme in ("light", "dark"):
            page = opened(browser, stand, size, scheme)
            for view in VIEWS:
                yield shown(page, view, folder / f"{view.replace('/', '-')}-{name}-{scheme}.png")
            page.context.close()


def picture(browser: Browser, stand: Stand, target: Path) -> Path:
    """A tablet by day and a phone in a dark room, side by side."""
    with tempfile.TemporaryDirectory() as folder:
        parts = []
        for size, scheme in (((900, 844), "light"), (PHONE, "dark")):
            page = opened(browser, stand, size, scheme)
            page.evaluate("location.hash = 'stand/2'")
            page.wait_for_timeout(400)
            page.locator(".tempi button").nth(1 if scheme == "light" else 0).click()
            parts.append(Image.open(shown(page, "stand/2", Path(folder) / f"{scheme}.png")).convert("RGB"))
            page.context.close()
        whole = Image.new(
            "RGB", (sum(one.width for one in parts) + 3 * GAP, parts[0].height + 2 * GAP), "#8d8a83"
        )
        left = GAP
        for one in parts:
            whole.paste(one, (left, GAP))
            left += one.width + GAP
        small = whole.resize((WIDTH, round(whole.height * WIDTH / whole.width)), Image.Resampling.LANCZOS)
        small.quantize(COLOURS).save(target, optimize=True)
    return target


if __name__ == "__main__":
    main()
