"""Who may ask for what. Statuses after RFC 9110; what browsers send after Fetch and RFC 6454 and 6265bis."""

from pathlib import Path

import pytest

from generator.publish.screen import ScreenPress
from generator.stand.guard import COOKIE, MOST, plain_code
from tests.fixtures.knocking import HOST, OWN, StandHere, knock

CODE = "ABCDEFGHJKLMNPQRSTUVWXYZ23"
ADDRESSES = ("/api/undo", "/api/played", "/api/preview", "/api/settings", "/api/plan", "/api/handout")


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "127.0.0.1:9999",
        "127.0.0.1",
        "localhost",
        f"{HOST}.evil.example",
        "",
        "[::1]:8137",
        f" {HOST}",
    ],
)
@pytest.mark.parametrize("path", ["/", "/page/page.js", "/api/today?w=390&h=400", "/api/events"])
def test_a_foreign_name_for_this_computer_is_misdirected(stand: StandHere, host: str, path: str) -> None:
    answer = knock(stand.app, "GET", path, headers={"host": host, "x": ""})
    assert answer.status == 421
    assert not stand.log.exists()


def test_both_names_of_this_computer_are_ours(stand: StandHere) -> None:
    assert stand.get("/").status == 200
    assert knock(stand.app, "GET", "/", headers={"host": "localhost:8137"}).status == 200


@pytest.mark.parametrize("path", ADDRESSES)
@pytest.mark.parametrize(
    "origin",
    [None, "null", "http://evil.example", f"https://{HOST}", "http://127.0.0.1:9999", f"http://{HOST}/"],
)
def test_only_the_page_itself_changes_anything(stand: StandHere, path: str, origin: str | None) -> None:
    headers = {name: value for name, value in OWN.items() if name != "origin"}
    answer = knock(stand.app, "POST", path, {}, {**headers, **({"origin": origin} if origin else {})})
    assert answer.status == 403


@pytest.mark.parametrize(
    "kind", [None, "text/plain", "application/x-www-form-urlencoded", "multipart/form-data"]
)
def test_what_a_foreign_form_can_send_is_not_read(stand: StandHere, kind: str | None) -> None:
    headers = {name: value for name, value in OWN.items() if name != "content-type"}
    answer = knock(
        stand.app, "POST", "/api/undo", b"{}", {**headers, **({"content-type": kind} if kind else {})}
    )
    assert answer.status == 415


def test_no_more_is_read_than_a_page_sends(stand: StandHere) -> None:
    much = b'{"uid": "' + b"x" * MOST + b'"}'
    assert knock(stand.app, "POST", "/api/undo", much).status == 413
    claimed = {**OWN, "content-length": str(10**12)}
    assert knock(stand.app, "POST", "/api/undo", b"{}", claimed).status == 413
    assert knock(stand.app, "POST", "/api/undo", b"{}", {**OWN, "content-length": "-1"}).status == 413
    full = b'{"uid": "' + b"x" * (MOST - 11) + b'"}'
    assert len(full) == MOST
    assert knock(stand.app, "POST", "/api/undo", full).status == 422


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT"])
def test_other_methods_are_refused(stand: StandHere, method: str) -> None:
    assert knock(stand.app, method, "/api/played", headers=OWN).status == 405


def test_another_site_reads_nothing_either(stand: StandHere) -> None:
    assert stand.get("/api/start", sec_fetch_site="cross-site").status == 403
    assert stand.get("/api/start", sec_fetch_site="same-origin").status == 200
    assert stand.get("/", sec_fetch_site="cross-site").status == 200  # a link leads here


@pytest.mark.parametrize("path", ["/", "/page/page.css", "/api/start", "/nowhere", "/api/file/work-1/x.pdf"])
def test_every_answer_carries_its_policy(stand: StandHere, path: str) -> None:
    headers = stand.get(path).headers
    policy = dict(rule.strip().split(" ", 1) for rule in headers["content-security-policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert "unsafe" not in headers["content-security-policy"]
    assert "http:" not in headers["content-security-policy"]
    assert {policy[name] for name in ("script-src", "style-src", "connect-src")} == {"'self'"}
    assert policy["frame-ancestors"] == "'none'"
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert "access-control-allow-origin" not in headers


@pytest.mark.parametrize(
    "path",
    [
        "/page/../server.py",
        "/page/%2e%2e/server.py",
        "/page//etc/passwd",
        "/page/server.py",
        "/page/",
        "/api/file/work-1/..%2f..%2fpasswd",
        "/api/job/../../x",
        "/page/page.js/..",
    ],
)
def test_no_path_of_a_request_is_opened(stand: StandHere, path: str) -> None:
    answer = stand.get(path)
    assert answer.status == 404
    assert b"import" not in answer.body


@pytest.fixture
def lan(tmp_path: Path, screen_press: ScreenPress) -> StandHere:
    (tmp_path / "home").mkdir()
    return StandHere(tmp_path / "home", screen_press, code=CODE)


def test_a_device_of_the_network_shows_the_code_once(lan: StandHere) -> None:
    assert lan.get("/").status == 401
    assert lan.get("/api/start").status == 401
    assert knock(lan.app, "POST", "/api/undo", {"uid": "abcdefgh"}).status == 401
    answer = lan.get(f"/?code={CODE[:13].lower()}-{CODE[13:]}")
    assert (answer.status, answer.headers["location"]) == (303, "/")
    cookie = answer.headers["set-cookie"]
    for word in ("HttpOnly", "SameSite=strict", "Path=/"):
        assert word in cookie
    shown = cookie.split(";")[0]
    assert shown == f"{COOKIE}={CODE}"
    assert lan.get("/", cookie=shown).status == 200
    assert lan.get("/api/start", cookie=shown).data["lan"] is True
    assert lan.get("/api/start", cookie=f"{COOKIE}={CODE[:-1]}4").status == 401
    assert lan.get("/api/start", cookie=f"{COOKIE}=").status == 401


def test_wrong_codes_are_slower_each_time(lan: StandHere) -> None:
    for _ in range(7):
        assert lan.get("/?code=WRONG").status == 401
    assert lan.waits == sorted(lan.waits)
    assert lan.waits[0] < 1 < lan.waits[-1] == 8.0
    assert lan.get(f"/?code={CODE}").status == 303


def test_a_code_may_be_typed_in_groups() -> None:
    assert plain_code(" abcd-efgh 23 ") == "ABCDEFGH23"
