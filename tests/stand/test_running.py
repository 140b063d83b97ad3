"""The command `stand` as a process of its own: how it begins, and that nothing is left when it ends."""

import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from generator.errors import MachineError
from generator.publish.codes import LETTERS
from generator.stand.code import code_of, qr_lines
from generator.stand.running import bound, hosts_of, own_address
from tests.fixtures.command import run_here

pytestmark = [
    pytest.mark.lilypond,
    pytest.mark.skipif(sys.platform == "win32", reason="signals and /proc are those of Linux"),
]


@contextmanager
def standing(folder: Path, *words: str) -> Iterator[tuple["subprocess.Popen[str]", int]]:
    """The command, and the port of its page."""
    (folder / "temporary").mkdir(exist_ok=True)
    started = subprocess.Popen(
        [sys.executable, "-m", "generator", "stand", "-i", "flute", "--home", str(folder / "home"), "--port", "0",
         "--no-open", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "TMPDIR": str(folder / "temporary")},
    )  # fmt: skip
    try:
        assert started.stdout
        line = started.stdout.readline()
        found = re.fullmatch(r"http://[\d.]+:(\d+)/\n", line)
        assert found, (line, started.stderr and started.stderr.read())
        yield started, int(found[1])
    finally:
        started.kill()
        started.communicate()


def asked(port: int, method: str, path: str, body: Any = None) -> tuple[int, Any]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    headers = (
        {"Origin": f"http://127.0.0.1:{port}", "Content-Type": "application/json"} if method == "POST" else {}
    )
    connection.request(method, path, None if body is None else json.dumps(body), headers)
    answer = connection.getresponse()
    data = answer.read()
    connection.close()
    return answer.status, json.loads(data) if data[:1] in b"{[" else data


def below(number: int) -> list[int]:
    """Every process that a process started, and those that these started."""
    found = [int(one) for one in Path(f"/proc/{number}/task/{number}/children").read_text().split()]
    return [*found, *(two for one in found for two in below(one))]


def are_gone(numbers: list[int]) -> bool:
    deadline = time.monotonic() + 5
    while time.monotonic() < deadline:
        if not any(_runs(one) for one in numbers):
            return True
        time.sleep(0.02)
    return False


def _runs(number: int) -> bool:
    try:
        return Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0] not in "ZX"
    except FileNotFoundError:
        return False


@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
def test_a_signal_ends_press_and_server_and_leaves_nothing_behind(tmp_path: Path, name: str) -> None:
    with standing(tmp_path) as (started, port):
        status, told = asked(port, "POST", "/api/preview", {"phrase": "G major", "w": 390, "h": 400})
        assert (status, told["heading"]) == (200, "G major")
        listening = socket.create_connection(("127.0.0.1", port))
        listening.sendall(b"GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n\r\n" % port)
        assert listening.recv(1000).startswith(b"HTTP/1.1 200")
        others = below(started.pid)
        assert others
        started.send_signal(getattr(signal, name))
        assert started.wait(timeout=10) in (0, 130)
        listening.close()
        assert started.stderr
        assert started.stderr.read() == ""
        assert are_gone(others)
    assert list((tmp_path / "temporary").iterdir()) == []


def test_a_kill_leaves_no_process_and_the_next_one_clears_up(tmp_path: Path) -> None:
    with standing(tmp_path) as (started, port):
        assert asked(port, "GET", "/api/today?w=390&h=400")[0] == 200
        others = below(started.pid)
        assert others
        started.send_signal(signal.SIGKILL)
        started.wait()
        assert are_gone(others)
    with standing(tmp_path) as (started, port):
        assert asked(port, "POST", "/api/preview", {"phrase": "G major", "w": 390, "h": 400})[0] == 200
        started.send_signal(signal.SIGTERM)
        started.wait()
    assert list((tmp_path / "temporary").iterdir()) == []


def test_ten_taps_around_a_kill_arrive_once_each(tmp_path: Path) -> None:
    taps = [f"tap-{n:08}" for n in range(10)]
    with standing(tmp_path) as (started, port):
        code = asked(port, "GET", "/api/today?pictures=0")[1]["code"]
        sent = [
            {"sheet": code, "number": n % 5 + 1, "felt": "steady", "tempo": 60 + n, "uid": uid}
            for n, uid in enumerate(taps)
        ]
        for one in sent[:6]:
            assert asked(port, "POST", "/api/played", one)[0] == 200
        started.send_signal(signal.SIGKILL)
        started.wait()
    with standing(tmp_path) as (_, port):
        # The page does not know which arrived, and sends them all.
        answers = [asked(port, "POST", "/api/played", one)[1] for one in sent]
    assert [one["again"] for one in answers] == [True] * 6 + [False] * 4
    from generator.practice_log import Kind, PracticeLog

    with PracticeLog.open(tmp_path / "home" / "log.sqlite") as log:
        whole = log.entries(kinds=(Kind.PLAY,), taken_back=True)
        counting = log.entries(kinds=(Kind.PLAY,))
    assert len(whole) == 10
    assert sorted((e.uid.split(" ")[2], e.tempo) for e in counting) == [
        (str(n + 1), 65 + n) for n in range(5)
    ]


def test_a_port_that_is_taken_is_told_in_a_line(tmp_path: Path) -> None:
    with bound("127.0.0.1", 0) as taken:
        port = str(taken.getsockname()[1])
        said = run_here("stand", "-i", "flute", "--home", str(tmp_path), "--port", port, "--no-open")
        said.fails(3, f"port {port}", "--port")


def test_a_plan_with_mistakes_is_told_before_anything_listens(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text('minutes = 0\n[[keep]]\nphrase = "C major"\n')
    run_here("stand", "--home", str(tmp_path), "--port", "0", "--no-open").fails(2, "plan.toml, line 1")


def test_only_the_address_that_is_shown_is_answered() -> None:
    assert hosts_of("127.0.0.1", 8137) == {"127.0.0.1:8137", "localhost:8137"}
    assert hosts_of("192.168.1.7", 8137) == {"192.168.1.7:8137"}


def test_the_code_is_kept_for_this_user_alone_and_made_anew_on_demand(tmp_path: Path) -> None:
    first = code_of(tmp_path, bytes(range(16)))
    assert len(first) == 26
    assert set(first) <= set(LETTERS)
    path = tmp_path / "stand-code"
    assert path.stat().st_mode & 0o777 == 0o600
    assert code_of(tmp_path, bytes(16)) == first
    assert code_of(tmp_path, b"\xff" * 16, new=True) != first
    path.write_text("short")
    assert len(code_of(tmp_path, b"\x01" * 16)) == 26


def test_the_code_for_a_camera_is_a_square_of_blocks() -> None:
    lines = qr_lines("http://192.168.1.7:8137/?code=ABCDEFGHJKLMNPQRSTUVWXYZ23")
    assert len(lines) > 15
    assert all("█" in line or "▄" in line or "▀" in line or "\x1b" in line for line in lines[1:-1])


def test_the_network_is_told_with_code_and_picture(tmp_path: Path) -> None:
    try:
        address = own_address()
    except MachineError as problem:
        pytest.skip(str(problem))
    with standing(tmp_path, "--lan") as (started, port):
        assert started.stderr
        told = [started.stderr.readline() for _ in range(15)]
        assert any(set(line) & set("█▄▀\x1b") for line in told)
        connection = http.client.HTTPConnection(address, port, timeout=10)
        connection.request("GET", "/api/start")
        answer = connection.getresponse()
        assert (answer.status, answer.read()[:1]) == (401, b"{")
        connection.close()
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection(("127.0.0.1", port), timeout=2)
