"""Dictation: sound from the browser's microphone in, words out, over one WebSocket.

``/dictate?about=OPENING`` takes binary messages of 16-bit little-endian samples, mono, 16 kHz, and
:class:`linewright.desk.messages.dictation.EndDictation`; what it sends stands beside that. The manuscript writes the
words at its cursor; the stage follows them on its board.
"""

from __future__ import annotations

import asyncio
import contextlib
import time

import numpy as np
from starlette.routing import WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from linewright.desk.messages.dictation import DictationState, EndDictation, PhraseHeard, Speaking, ToDictation
from linewright.desk.messages.to_manuscript import Trouble
from linewright.desk.state import desk_of
from linewright.desk.views.phrases import RATE, Phrases, Samples
from linewright.support.errors import UnusableInput
from linewright.support.page_messages import from_json, to_json

#: Phrases that may wait to be heard: with more, the machine is too slow, and the oldest are dropped, which is reported.
MOST_WAITING = 8
#: Bytes of sound in one message: two seconds.
MOST_SOUND = 4 * RATE


async def dictate(socket: WebSocket) -> None:
    """One dictation."""
    ear = desk_of(socket).ear
    await socket.accept()
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        try:
            await ear.ready(socket.query_params.get("about", "")[:100])
        except UnusableInput as trouble:
            await _send(socket, Trouble(trouble.what, trouble.todo))
            await socket.close()
            return
        await _send(socket, DictationState("ready"))
        waiting: asyncio.Queue[tuple[Samples, float] | None] = asyncio.Queue()
        hearing = asyncio.create_task(_hear(socket, waiting))
        try:
            await _listen(socket, waiting)
            await hearing
        finally:
            hearing.cancel()


async def _listen(socket: WebSocket, waiting: asyncio.Queue[tuple[Samples, float] | None]) -> None:
    """Take sound until the page ends it, and cut it into phrases."""
    phrases = Phrases()
    spoke = False
    while True:
        message = await socket.receive()
        if message["type"] == "websocket.disconnect":
            raise WebSocketDisconnect
        sound: bytes | None = message.get("bytes")
        if sound is None:
            try:
                from_json(message.get("text") or "", EndDictation)
            except UnusableInput as trouble:
                await _send(socket, Trouble(trouble.what, trouble.todo))
                continue
            break
        for phrase in phrases.take(samples_of(sound[:MOST_SOUND])):
            if waiting.qsize() >= MOST_WAITING:
                waiting.get_nowait()
                await _send(socket, Trouble("a phrase was lost: this machine hears too slowly", "Pause."))
            waiting.put_nowait((phrase, time.monotonic()))
        if phrases.speaking != spoke:
            spoke = phrases.speaking
            await _send(socket, Speaking(spoke))
    last = phrases.end()
    if last is not None:
        waiting.put_nowait((last, time.monotonic()))
    waiting.put_nowait(None)


async def _hear(socket: WebSocket, waiting: asyncio.Queue[tuple[Samples, float] | None]) -> None:
    """Hear the phrases in their order."""
    ear = desk_of(socket).ear
    while (taken := await waiting.get()) is not None:
        samples, ended = taken
        try:
            text = await ear.phrase(samples)
        except UnusableInput as trouble:
            await _send(socket, Trouble(trouble.what, trouble.todo))
            return
        if text.strip():
            took = round(time.monotonic() - ended, 3)
            await _send(socket, PhraseHeard(text.strip(), round(len(samples) / RATE, 2), took))
    await _send(socket, DictationState("ended"))


def samples_of(sound: bytes) -> Samples:
    """16-bit little-endian samples as numbers of -1 to 1; a half sample at the end is left out."""
    whole = np.frombuffer(sound[: len(sound) // 2 * 2], dtype="<i2")
    return (whole / 32768.0).astype(np.float32)


async def _send(socket: WebSocket, message: ToDictation) -> None:
    await socket.send_text(to_json(message))


routes = [WebSocketRoute("/dictate", dictate)]
