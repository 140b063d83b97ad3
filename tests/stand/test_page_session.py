"""A player in front of the page, who only touches what a person touches."""

import signal
from typing import Any

import pytest

from tests.fixtures.browser import FELT, PHONE, Stand, Visit

pytestmark = [pytest.mark.browser, pytest.mark.lilypond]

TURNED = """(start) => document.querySelector("h1").innerText !== start
  || document.querySelector(".music").dataset.pages.startsWith("page 2")"""


def felt(page: Any, how: str) -> Any:
    return page.get_by_role("group", name="Played. It felt").get_by_role("button", name=how)


def foot(page: Any, words: str) -> Any:
    return page.locator(".foot").get_by_text(words)


def test_a_whole_session_on_a_phone_is_in_the_log_as_it_was_tapped(fresh_stand: Stand, visit: Visit) -> None:
    seen = visit(fresh_stand, PHONE, has_touch=True, is_mobile=True)
    page = seen.page
    page.clock.install()
    page.get_by_role("button", name="Begin", exact=True).tap()
    tapped, rests = [], 0
    for turn in range(40):
        if page.get_by_role("heading", name="All noted").count():
            break
        if page.get_by_role("timer").count():
            rests += 1
            before = page.locator("h1").inner_text()
            page.clock.fast_forward(1000 * seconds(page.get_by_role("timer").inner_text()) + 500)
            page.wait_for_function(
                "before => document.querySelector('h1').textContent !== before", arg=before
            )
            continue
        heading = seen.heading()
        if heading == "All noted":
            break
        number = int(heading.split(".")[0])
        tempi = page.get_by_role("group", name="Tempo").get_by_role("button")
        place = turn % tempi.count() if tempi.count() else None
        if place is not None:
            tempi.nth(place).tap()
        page.get_by_role("button", name="Click").tap()
        assert page.get_by_role("button", name="Click").get_attribute("aria-pressed") == "true"
        tempo = int(page.locator(".tempi [aria-pressed=true]").inner_text())
        how = FELT[turn % 4]
        before = page.evaluate("location.hash")
        felt(page, how).tap()
        page.wait_for_function("before => location.hash !== before", arg=before)
        page.wait_for_function("before => document.querySelector('h1').textContent !== before", arg=heading)
        tapped.append((number, how, tempo))
    assert rests >= 1
    assert len(tapped) >= 5
    seen.noted(tapped)


def seconds(clock: str) -> int:
    minutes, rest = clock.split(":")
    return 60 * int(minutes) + int(rest)


def test_undo_takes_back_the_last_tap_and_returns_to_it(fresh_stand: Stand, visit: Visit) -> None:
    seen = visit(fresh_stand)
    page = seen.page
    page.get_by_role("button", name="Begin", exact=True).click()
    first = seen.heading()
    felt(page, "shaky").click()
    foot(page, "Noted: 1, shaky").wait_for()
    assert page.locator("h1").inner_text() != first
    page.get_by_role("button", name="Undo").click()
    seen.shows(first)
    seen.noted([])
    felt(page, "secure").click()
    seen.noted([(1, "secure", None)])


def test_keys_and_pedals_turn_pages_and_note(fresh_stand: Stand, visit: Visit) -> None:
    seen = visit(fresh_stand, (683, 384))
    page = seen.page
    page.get_by_role("button", name="Begin", exact=True).click()
    start = seen.heading()
    for on, back in (
        (" ", "Shift+ "),
        ("PageDown", "PageUp"),
        ("ArrowRight", "ArrowLeft"),
        ("ArrowDown", "ArrowUp"),
    ):
        turned = 0
        while seen.heading() == start and turned < 12:
            page.keyboard.press(on if on != " " else "Space")
            turned += 1
            page.wait_for_timeout(30)
        assert seen.heading() != start, on
        for _ in range(turned):
            page.keyboard.press(back if " " not in back else "Shift+Space")
            page.wait_for_timeout(30)
        assert seen.heading() == start, back
    page.keyboard.press("c")
    assert page.get_by_role("button", name="Click").get_attribute("aria-pressed") == "true"
    page.keyboard.press("+")
    tempo = int(page.locator(".tempi [aria-pressed=true]").inner_text())
    page.keyboard.press("d")
    page.get_by_text("Drone: concert").wait_for()
    page.keyboard.press("l")
    assert page.get_by_role("button", name="Listen").get_attribute("aria-pressed") == "true"
    page.keyboard.press("3")
    foot(page, f"Noted: 1, steady at {tempo}").wait_for()
    page.keyboard.press("u")
    seen.shows(start)
    page.keyboard.press("Escape")
    seen.shows("Today’s sheet")


def test_a_pedal_after_a_touch_turns_the_page_and_does_not_press_again(
    common_stand: Stand, visit: Visit
) -> None:
    seen = visit(common_stand)
    page = seen.page
    page.get_by_role("button", name="Begin", exact=True).click()
    start = seen.heading()
    page.get_by_role("button", name="Click").click()
    page.keyboard.press("Space")
    page.wait_for_function(TURNED, arg=start)
    page.keyboard.press("PageUp")
    seen.shows(start)
    click = page.get_by_role("button", name="Click")
    before = click.get_attribute("aria-pressed")
    click.focus()
    page.keyboard.press("Space")
    assert click.get_attribute("aria-pressed") != before


def test_ten_taps_without_a_server_arrive_once_when_it_is_back(own_stand: Stand, visit: Visit) -> None:
    seen = visit(own_stand, quiet=False)
    page = seen.page
    page.get_by_role("button", name="Begin", exact=True).click()
    own_stand.close(signal.SIGKILL)
    page.get_by_text("The computer is out of reach").wait_for()
    tapped: dict[int, str] = {}
    for turn in range(10):
        if page.get_by_role("timer").count():
            page.get_by_role("button", name="Go on now").click()
        if page.get_by_role("button", name="Back to the sheet").count():
            page.get_by_role("button", name="Back to the sheet").click()
            page.get_by_role("button", name="Play again").click()
        number = int(seen.heading().split(".")[0])
        before = page.evaluate("location.hash")
        tapped[number] = FELT[turn % 4]
        felt(page, tapped[number]).click()
        page.wait_for_function("before => location.hash !== before", arg=before)
    page.get_by_text("10 taps kept here").wait_for()
    own_stand.open()
    page.wait_for_function("() => !document.getElementById('away').textContent", timeout=15000)
    seen.noted([(number, how, None) for number, how in tapped.items()])
    assert page.evaluate("async () => (await import('/page/outbox.js')).refused.length") == 0


def test_a_tap_that_was_delivered_and_not_confirmed_is_one_entry(fresh_stand: Stand, visit: Visit) -> None:
    seen = visit(fresh_stand, quiet=False)
    page = seen.page
    lost: list[str] = []

    def swallow(route: Any) -> None:
        if not lost:
            route.fetch()
            lost.append(route.request.post_data)
            route.abort()
        else:
            lost.append(route.request.post_data)
            route.continue_()

    page.route("**/api/played", swallow)
    page.get_by_role("button", name="Begin", exact=True).click()
    felt(page, "steady").click()
    assert seen.comes_true(lambda: len(lost) == 2)
    assert lost[0] == lost[1]
    seen.noted([(1, "steady", None)])


def test_two_devices_see_each_others_taps(fresh_stand: Stand, visit: Visit) -> None:
    one, other = visit(fresh_stand), visit(fresh_stand, (820, 1180))
    one.page.get_by_role("button", name="Begin", exact=True).click()
    felt(one.page, "secure").click()
    other.page.get_by_text("secure", exact=True).wait_for()


def test_taps_wait_through_closing_the_page(fresh_stand: Stand, visit: Visit) -> None:
    seen = visit(fresh_stand, quiet=False)
    page = seen.page
    page.get_by_role("button", name="Begin", exact=True).click()
    page.route("**/api/played", lambda route: route.abort())
    felt(page, "lost").click()
    page.get_by_text("Noted: 1, lost").first.wait_for()
    page.unroute("**/api/played")
    page.reload()
    page.wait_for_selector("h1")
    seen.noted([(1, "lost", None)])


def test_a_tap_that_is_not_taken_is_not_passed_over_in_silence(fresh_stand: Stand, visit: Visit) -> None:
    seen = visit(fresh_stand, quiet=False)
    page = seen.page
    page.route(
        "**/api/played",
        lambda route: route.fulfill(status=409, json={"error": {"message": "the sheet is another by now"}}),
    )
    page.get_by_role("button", name="Begin", exact=True).click()
    felt(page, "steady").click()
    page.get_by_text("1 tap not noted: the sheet is another by now").wait_for()


def test_a_sheet_that_was_begun_stays_the_same(fresh_stand: Stand, visit: Visit) -> None:
    page = visit(fresh_stand).page
    assert not (fresh_stand.home / "log.sqlite").exists()
    with page.expect_response("**/api/start-today") as begun:
        page.get_by_role("button", name="Begin", exact=True).click()
    code = begun.value.json()["sheet"]
    page.get_by_role("button", name="Sheet", exact=True).click()
    page.get_by_text(f"sheet {code}").wait_for()
