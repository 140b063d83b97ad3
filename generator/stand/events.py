"""What one device did, told to the others: server-sent events (HTML Living Standard, 9.2)."""

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Any

PAUSE = 15.0  # seconds between signs of life
_WAITING = 100  # events kept for one that does not listen; then it has to ask anew


class Events:
    """Everyone who listens. `tell` may be called from any thread."""

    def __init__(self) -> None:
        self._listeners: set[asyncio.Queue[bytes | None]] = set()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._over = False

    def tell(self, kind: str, data: dict[str, Any]) -> None:
        """Tell all listeners."""
        if self._loop is not None and not self._loop.is_closed():
            text = f"event: {kind}\ndata: {json.dumps(data, ensure_ascii=False)}\n\n".encode()
            self._loop.call_soon_threadsafe(self._hand_out, text)

    def close(self) -> None:
        """Let all listeners go."""
        self._over = True
        self._hand_out(None)

    async def listen(self) -> AsyncIterator[bytes]:
        """Events as they come, and a sign of life in between."""
        self._loop = asyncio.get_running_loop()
        queue: asyncio.Queue[bytes | None] = asyncio.Queue(_WAITING)
        self._listeners.add(queue)
        try:
            yield b"retry: 2000\n\n"
            while not self._over:
                try:
                    found = await asyncio.wait_for(queue.get(), PAUSE)
                except TimeoutError:
                    found = b": here\n\n"
                if found is None:
                    return
                yield found
        finally:
            self._listeners.discard(queue)

    def _hand_out(self, text: bytes | None) -> None:
        for queue in tuple(self._listeners):
            if queue.full():
                self._listeners.discard(queue)
                queue.get_nowait()
                queue.put_nowait(None)
            else:
                queue.put_nowait(text)
