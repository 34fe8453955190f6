"""Rooms: one for each talk on the stage, shared by its prompters and stages, on one device or several."""

from __future__ import annotations

import asyncio
import math
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from linewright.desk.messages.room import (
    Clap,
    Clapped,
    FromRoom,
    HearPhrase,
    NoteLoudness,
    RunKey,
    RunShown,
    SceneShown,
    ToRoom,
)
from linewright.desk.messages.to_manuscript import Trouble
from linewright.desk.views.room_view import scene_shown, script_shown
from linewright.lesson.walk import BoardMark, MoveStep, Walk
from linewright.stage.acts import GoToStop, HearPosition
from linewright.stage.runs import RunLog, run_path
from linewright.stage.scene import StageScene, after, board_of, opened
from linewright.stage.script import Script, script_of
from linewright.stage.trainer_rate import rate_beside
from linewright.stage.voice_follow import follow_phrase
from linewright.support.errors import UnusableInput

#: Messages that wait for a page that sleeps; with more it is sent the present state alone.
MOST_WAITING: Final = 200
#: Characters of a phrase, and of the name of who did something.
MOST_PHRASE, MOST_NAME = 2000, 20
#: Loudness values in one message: a minute of them.
MOST_LEVELS: Final = 2000

#: Seconds that a loudspeaker may lag: the slowest wireless ones take a third of a second.
MOST_LATE: Final = 0.5

Reader = Callable[[Path, str], Awaitable[Walk]]


class Room:
    """A talk on the stage. Use it in the event loop's thread."""

    def __init__(self, talk: Path, name: str, version: str, script: Script) -> None:
        self.talk, self.name, self.version = talk, name, version
        self.script = script
        self.scene = opened(script)
        self.log: RunLog | None = None
        self.pages: set[asyncio.Queue[ToRoom]] = set()
        self._turn = asyncio.Lock()
        self._rested = 0.0
        self._resting_since: float | None = None

    @asynccontextmanager
    async def joined(self) -> AsyncIterator[asyncio.Queue[ToRoom]]:
        """What a page is sent, beginning with all it needs."""
        waiting: asyncio.Queue[ToRoom] = asyncio.Queue(MOST_WAITING)
        waiting.put_nowait(script_shown(self.script, self.name))
        waiting.put_nowait(self._scene())
        waiting.put_nowait(self._run())
        self.pages.add(waiting)
        try:
            yield waiting
        finally:
            self.pages.discard(waiting)

    async def act(self, act: FromRoom, read: Reader) -> None:
        """One act of a page, sent to all pages and logged.

        :raises UnusableInput: when it can't be done.
        """
        async with self._turn:
            match act:
                case RunKey(do="begin"):
                    await self._begin()
                case RunKey():
                    await self._finish()
                case Clap(late=late):
                    await self._write("clap", late=round(min(MOST_LATE, max(0.0, late)), 3))
                    self._send(Clapped())
                case NoteLoudness(level=level, every=every):
                    if len(level) <= MOST_LEVELS and all(map(math.isfinite, (*level, every))):
                        await self._write("loud", every=every, level=[round(number, 4) for number in level])
                case HearPhrase(text=text):
                    await self._hear(text[:MOST_PHRASE], read)
                case _:
                    await self._become(after(self.scene, self.script, act), act.by[:MOST_NAME])

    def renew(self, version: str, script: Script) -> None:
        """Take the talk as it is now; not while a run is going."""
        self.version, self.script = version, script
        self.scene = opened(script)
        self._send(script_shown(script, self.name))
        self._send(self._scene())

    async def end(self) -> None:
        """Close a run that is going."""
        if self.log is not None:
            await self._finish()

    # -- helpers -----------------------------------------------------------------------------------------

    async def _begin(self) -> None:
        if self.log is not None:
            raise UnusableInput("a run is going already", "Finish it first.")
        self.scene = opened(self.script)
        self._rested, self._resting_since = 0.0, None
        try:
            self.log = await asyncio.to_thread(
                RunLog,
                run_path(self.talk),
                talk=self.talk.name,
                title=self.script.walk.title,
                version=self.version,
                stops=len(self.script.stops),
                rate=round(self.script.rate, 1),
                at=_wall_clock(),
            )
        except OSError as error:
            raise UnusableInput(
                f"the run can't be written: {error.strerror or error}", "Check the disk and the folder's permissions."
            ) from None
        self._send(self._scene())
        self._send(self._run())

    async def _finish(self) -> None:
        if self.log is None:
            return
        await self._write("finish")
        self.log.close()
        name, self.log = self.log.path.name, None
        self._send(self._run(name))

    async def _hear(self, text: str, read: Reader) -> None:
        """A phrase that was heard: by the script's words, and by the moves that can be read off the rest."""
        if self.scene.aside is not None or self.scene.paused:
            return
        reached, rest = follow_phrase(self.script, self.scene.at, text)
        if reached > self.scene.at:
            await self._become(after(self.scene, self.script, GoToStop(reached)), "voice")
            if not rest:
                return
            text = rest
        start = board_of(self.scene, self.script).fen()
        with suppress(UnusableInput):
            walk = await read(Path("said.md"), f"{{start: {start}}}\n\n{text}")
            for step in walk.steps:
                if isinstance(step, MoveStep):
                    heard = after(self.scene, self.script, HearPosition(step.after))
                    await self._become(heard, "voice")

    async def _become(self, scene: StageScene, by: str) -> None:
        old, self.scene = self.scene, scene
        if scene == old:
            return
        if old.aside is None and scene.aside is not None:
            await self._write("aside")
        for uci in (scene.aside or ())[len(old.aside or ()) :]:
            await self._write("play", uci=uci)
        if old.aside and scene.aside is not None and len(scene.aside) < len(old.aside):
            await self._write("unplay")
        if old.aside is not None and scene.aside is None:
            await self._write("walk")
        if scene.at != old.at:
            await self._write("stop", at=scene.at, by=by)
        elif scene.marks != _following(old, scene):
            await self._write("mark", marks=[[mark.shape, *mark.squares] for mark in scene.marks])
        if scene.side != old.side:
            await self._write("turn")
        if scene.paused != old.paused:
            await self._write("pause" if scene.paused else "on")
            self._rest(scene.paused)
            self._send(self._run())
        self._send(self._scene())

    def _rest(self, paused: bool) -> None:
        """Stop the plan's clock, or let it go on."""
        now = self.log.now if self.log else 0.0
        if paused:
            self._resting_since = now
        elif self._resting_since is not None:
            self._rested += now - self._resting_since
            self._resting_since = None

    async def _write(self, do: str, **values: Any) -> None:
        if self.log is None:
            return
        try:
            await asyncio.to_thread(lambda log: log.write(do, **values), self.log)
        except OSError as error:
            self._send(Trouble(f"the run can't be written: {error.strerror or error}", "Check the disk."))

    def _scene(self) -> SceneShown:
        return scene_shown(self.scene, self.script)

    def _run(self, finished: str = "") -> RunShown:
        now = self.log.now if self.log else 0.0
        resting = self._resting_since is not None
        spent = (self._resting_since if self._resting_since is not None else now) - self._rested
        return RunShown(self.log is not None, round(max(0.0, spent), 3), resting, finished)

    def _send(self, message: ToRoom) -> None:
        for waiting in self.pages:
            if waiting.full():
                # A page that slept: all it missed is worth less than what stands there now.
                while not waiting.empty():
                    waiting.get_nowait()
                for now in (script_shown(self.script, self.name), self._scene(), self._run()):
                    waiting.put_nowait(now)
            else:
                waiting.put_nowait(message)


class Rooms:
    """The rooms that are open, by the talk's name."""

    def __init__(self) -> None:
        self._open: dict[str, Room] = {}
        self._turn = asyncio.Lock()

    async def room(self, name: str, talk: Path, text: str, version: str, read: Reader) -> Room:
        """A talk's room, rebuilt from the talk as it is unless a run is going in it.

        :raises UnusableInput: when no move can be read off the talk.
        """
        async with self._turn:
            room = self._open.get(name)
            if room is not None and (room.log is not None or room.version == version):
                return room
            walk = await read(talk, text)
            if not walk.moves:
                raise UnusableInput(f"no move can be read off {name} yet", "Write a move first, as in Nf3.")
            script = await asyncio.to_thread(_prepared, walk, talk)
            if room is None:
                room = self._open[name] = Room(talk, name, version, script)
            else:
                room.renew(version, script)
            return room

    async def end(self) -> None:
        """Close the runs that are going."""
        for room in self._open.values():
            await room.end()


def _prepared(walk: Walk, talk: Path) -> Script:
    """A script at the trainer's own rate."""
    return script_of(walk, rate_beside(talk, walk))


def _following(old: StageScene, scene: StageScene) -> tuple[BoardMark, ...]:
    """The marks that the log's other lines say stand there now, at one stop: an aside's moves take them away, and
    coming back brings those that were there before."""
    if old.aside is not None and scene.aside is None:
        return old.kept
    return old.marks if (scene.aside or ()) == (old.aside or ()) else ()


def _wall_clock() -> str:
    """Now, with its offset from UTC."""
    return datetime.now().astimezone().isoformat(timespec="milliseconds")
