"""``scalewright stand``: the page for the device on the music stand."""

import os
import sys
from secrets import token_bytes
from typing import Annotated

import typer  # noqa: TID251

from generator.cli import clock, options
from generator.cli.messages import flush_output, hush, put_out, remark
from generator.files.home import Home, current_folder
from generator.files.loading import loading
from generator.practice.player_session import PlayerOptions

PORT = 8137


def stand(
    instrument: options.Instrument = None,
    level: options.PlanLevel = None,
    plan: options.PlanFile = None,
    home: options.HomeFolder = None,
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="Port of the page; 0 takes any that is free.")
    ] = PORT,
    lan: Annotated[
        bool, typer.Option("--lan", help="Let phones and tablets of your network in, with a code.")
    ] = False,
    new_code: Annotated[
        bool, typer.Option("--new-code", help="With --lan: a new code; devices have to show it again.")
    ] = False,
    no_open: Annotated[bool, typer.Option("--no-open", help="Do not open the page in the browser.")] = False,
    quiet: options.Quiet = False,
) -> None:
    """Open the page for the stand: today's sheet an exercise a screen, click, drone, one tap to note it."""
    hush(quiet)
    asked = PlayerOptions(plan, instrument, level, fallback=options.DEFAULT_INSTRUMENT)
    with loading():
        from generator.publish.screen import ScreenPress  # noqa: PLC0415  # no other command shall wait for these
    with ScreenPress() as press:
        press.begin_to_warm_up()  # while everything else is loaded
        with loading():
            from generator.api.desk import Desk  # noqa: PLC0415
            from generator.stand.code import code_of, qr_lines  # noqa: PLC0415
            from generator.stand.running import LOOPBACK, bound, own_address, serve  # noqa: PLC0415
            from generator.stand.server import StandApplication  # noqa: PLC0415
        address = own_address() if lan else LOOPBACK
        code = code_of(Home.at(home).plan.parent, token_bytes(16), new=new_code) if lan else ""
        desk = Desk(home, current_folder(), asked, clock.now, press)
        desk.session()  # its mistakes are told now, before anything listens
        listening = bound(address, port)
        plain = f"http://{address}:{listening.getsockname()[1]}/"
        opened = f"{plain}?code={code}" if code else plain

        def ready() -> None:
            put_out(plain)
            flush_output()
            if code:
                for line in qr_lines(opened):
                    remark(line)
                remark(f"code {code}")
            if not no_open and _has_a_screen():
                _open(opened)

        serve(StandApplication(desk, lan=lan, addresses=(plain,)), listening, code, ready)


def _has_a_screen() -> bool:
    return sys.platform != "linux" or any(os.environ.get(n) for n in ("DISPLAY", "WAYLAND_DISPLAY"))


def _open(address: str) -> None:
    import webbrowser  # noqa: PLC0415

    webbrowser.open(address)
