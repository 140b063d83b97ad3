"""Every view of the page, as people with small screens, large type, a keyboard or a screen reader meet it.

What counts is WCAG 2.2: 1.4.3 (text 4.5 : 1), 1.4.10 (nothing to scroll sideways at 320 pixels), 2.1.1 (keyboard),
2.5.5 (targets of 44 pixels), 4.1.2 (names), as axe-core checks them and as measured here.
"""

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.fixtures.browser import LAPTOP, PHONE, SMALLEST, TABLET, Seen, Stand, Visit

pytestmark = [pytest.mark.browser, pytest.mark.lilypond]

VIEWS = {
    "today": "Today’s sheet",
    "page": "Today’s sheet",
    "stand/1": "1.",
    "stand/5": "Rest",
    "done": "The end of the sheet",
    "progress": "Keys and forms",
    "new": "New sheet",
    "drill": "Drill a passage",
    "section": "Section handout",
    "plan": "Plan",
    "settings": "Settings",
}
ZOOMED = (683, 384)  # a laptop's 1366 x 768 at 200 %
SMALL_TARGETS = """() => [...document.querySelectorAll("button, a, select, input, summary, .chip")]
  .filter((one) => !one.closest(".skip, .measure, .unseen, [hidden]") && !one.matches(".unseen, .chip input"))
  .map((one) => [one, one.getBoundingClientRect()])
  .filter(([, box]) => box.width && (box.width < 43.9 || box.height < 43.9))
  .map(([one, box]) => `${one.outerHTML.slice(0, 90)} ${box.width} x ${box.height}`)"""

MUSIC = """() => {
  const image = document.querySelector(".music .notes"), box = image.getBoundingClientRect();
  const scale = Math.min(box.width / image.naturalWidth, box.height / image.naturalHeight);
  const [deck, head] = [".deck", ".head"].map((one) => document.querySelector(one).getBoundingClientRect());
  return [scale, box.top, box.bottom, deck.top, head.bottom, deck.bottom];
}"""
MOVING = """() => [...document.querySelectorAll("*")].map((one) => getComputedStyle(one))
  .filter((one) => parseFloat(one.transitionDuration) > 0 || one.animationName !== "none").length"""


def show(seen: Seen, view: str) -> None:
    seen.go(view)
    seen.shows(VIEWS[view])
    if view in ("new", "section"):
        seen.page.locator(".preview .notes").first.wait_for()
    if view == "drill":
        seen.page.get_by_role("heading", name="Its scales").wait_for()


@pytest.mark.parametrize(
    ("size", "scheme"),
    [(SMALLEST, "light"), (ZOOMED, "dark"), (TABLET, "light"), (PHONE, "dark")],
    ids=["320", "zoomed dark", "tablet", "phone dark"],
)
def test_every_view_can_be_read_and_used(
    common_stand: Stand, visit: Visit, size: tuple[int, int], scheme: str
) -> None:
    seen = visit(common_stand, size, scheme)
    found: dict[str, Any] = {}
    for view in VIEWS:
        show(seen, view)
        assert seen.page.evaluate("document.documentElement.scrollWidth") <= size[0], view
        assert seen.page.evaluate(SMALL_TARGETS) == [], view
        faults = Axe().run(seen.page).response["violations"]
        if faults:
            found[view] = [(one["id"], [node["html"][:120] for node in one["nodes"][:3]]) for one in faults]
    assert found == {}


@pytest.mark.parametrize("size", [SMALLEST, PHONE, TABLET, LAPTOP, ZOOMED, (844, 390)])
def test_music_is_shown_whole_and_as_large_as_it_was_made_above_the_deck(
    common_stand: Stand, visit: Visit, size: tuple[int, int]
) -> None:
    seen = visit(common_stand, size)
    for number in (1, 2, 3):
        seen.go(f"stand/{number}")
        seen.page.locator(".music .notes").wait_for()
        shown = seen.page.evaluate(MUSIC)
        scale, top, bottom, deck, head, end = shown
        assert end <= size[1] + 1
        assert scale > 0.97, (size, number, shown)
        assert top >= head - 1
        assert bottom <= deck + 1


def test_the_music_grows_when_the_device_is_turned(common_stand: Stand, visit: Visit) -> None:
    seen = visit(common_stand, PHONE)
    seen.go("stand/2")
    seen.page.locator(".music .notes").wait_for()
    before = seen.page.evaluate("document.querySelector('.music .notes').naturalWidth")
    seen.page.set_viewport_size({"width": 844, "height": 390})
    seen.page.wait_for_function(
        "before => document.querySelector('.music .notes')?.naturalWidth > before", arg=before
    )


def test_everything_is_reached_by_the_keyboard(common_stand: Stand, visit: Visit) -> None:
    seen = visit(common_stand, LAPTOP)
    seen.go("stand/1")
    reached: list[str] = []
    for _ in range(30):
        seen.page.keyboard.press("Tab")
        reached.append(
            seen.page.evaluate("document.activeElement.ariaLabel || document.activeElement.innerText || ''")
        )
    for wanted in (
        "Sheet",
        "Click",
        "Drone",
        "Listen",
        "lost",
        "shaky",
        "steady",
        "secure",
        "Slower by one",
        "Faster by one",
    ):
        assert any(wanted in one for one in reached), wanted


def test_light_and_dark_are_the_devices_or_the_players(common_stand: Stand, visit: Visit) -> None:
    seen = visit(common_stand, PHONE, "light")
    ground = "getComputedStyle(document.body).backgroundColor"
    paper = seen.page.evaluate(ground)
    seen.go("settings")
    seen.page.get_by_label("Dark room").check()
    assert seen.page.evaluate(ground) != paper
    seen.page.reload()
    seen.page.wait_for_selector("h1")
    assert seen.page.evaluate(ground) != paper
    dark = visit(common_stand, PHONE, "dark")
    assert dark.page.evaluate(ground) != paper


def test_without_motion_nothing_moves(common_stand: Stand, visit: Visit) -> None:
    seen = visit(common_stand, PHONE, reduced_motion="reduce")
    seen.go("stand/1")
    assert seen.page.evaluate(MOVING) == 0
