"""Rooms: one for each talk on the stage, shared by its prompters and stages, on one device or several."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from linewright.lesson.walk import BoardMark, MoveStep, Walk
from linewright.stage.rehearsal import learned_rate, pace_of_run, pace_of_talk
from linewright.stage.runs import RunLog, read_run, run_path, runs_of
from linewright.stage.scene import Scene, after, board_of, opened, view
from linewright.stage.script import Script, script_of, stop_label
from linewright.stage.voice_follow import followed
from linewright.support.errors import UnusableInput
from linewright.talk.load import load_talk

Message = dict[str, Any]
#: Messages that wait for a page that sleeps; with more it is sent the present state alone.
MOST_WAITING: Final = 200
#: Earlier recordings and runs that the speaking rate is learned from: the newest say most.
MOST_EARLIER: Final = 30
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
        self.pages: set[asyncio.Queue[Message]] = set()
        self._turn = asyncio.Lock()
        self._rested = 0.0
        self._resting_since: float | None = None

    @asynccontextmanager
    async def joined(self) -> AsyncIterator[asyncio.Queue[Message]]:
        """What a page is sent, beginning with all it needs."""
        waiting: asyncio.Queue[Message] = asyncio.Queue(MOST_WAITING)
        waiting.put_nowait(script_message(self.script, self.name))
        waiting.put_nowait(self._scene())
        waiting.put_nowait(self._run())
        self.pages.add(waiting)
        try:
            yield waiting
        finally:
            self.pages.discard(waiting)

    async def act(self, act: Message, read: Reader) -> None:
        """One act of a page, sent to all pages and logged.

        :raises UnusableInput: when it can't be done.
        """
        async with self._turn:
            match act.get("do"):
                case "begin":
                    await self._begin()
                case "finish":
                    await self._finish()
                case "clap":
                    await self._write("clap", late=_seconds(act.get("late")))
                    self._tell({"what": "clapped"})
                case "loud":
                    level = act.get("level")
                    if isinstance(level, list) and len(level) <= MOST_LEVELS:
                        numbers = [round(float(n), 4) for n in level if isinstance(n, int | float)]
                        await self._write("loud", every=float(act.get("every", 0.05)), level=numbers)
                case "said":
                    await self._said(str(act.get("text", ""))[:2000], read)
                case _:
                    await self._become(after(self.scene, self.script, act), str(act.get("by", ""))[:20])

    def renew(self, version: str, script: Script) -> None:
        """Take the talk as it is now; not while a run is going."""
        self.version, self.script = version, script
        self.scene = opened(script)
        self._tell(script_message(script, self.name))
        self._tell(self._scene())

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
        self._tell(self._scene())
        self._tell(self._run())

    async def _finish(self) -> None:
        if self.log is None:
            return
        await self._write("finish")
        self.log.close()
        name, self.log = self.log.path.name, None
        self._tell(self._run() | {"finished": name})

    async def _said(self, text: str, read: Reader) -> None:
        """A phrase that was heard: by the script's words, and by the moves that can be read off the rest."""
        if self.scene.aside is not None or self.scene.paused:
            return
        reached, rest = followed(self.script, self.scene.at, text)
        if reached > self.scene.at:
            await self._become(after(self.scene, self.script, {"do": "go", "to": reached}), "voice")
            if not rest:
                return
            text = rest
        start = board_of(self.scene, self.script).fen()
        with suppress(UnusableInput):
            walk = await read(Path("said.md"), f"{{start: {start}}}\n\n{text}")
            for step in walk.steps:
                if isinstance(step, MoveStep):
                    heard = after(self.scene, self.script, {"do": "heard", "fen": step.after})
                    await self._become(heard, "voice")

    async def _become(self, scene: Scene, by: str) -> None:
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
            self._tell(self._run())
        self._tell(self._scene())

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
            self._tell(
                {
                    "what": "trouble",
                    "why": f"the run can't be written: {error.strerror or error}",
                    "todo": "Check the disk.",
                }
            )

    def _scene(self) -> Message:
        return {"what": "scene"} | view(self.scene, self.script)

    def _run(self) -> Message:
        now = self.log.now if self.log else 0.0
        resting = self._resting_since is not None
        spent = (self._resting_since if self._resting_since is not None else now) - self._rested
        return {"what": "run", "on": self.log is not None, "spent": round(max(0.0, spent), 3), "resting": resting}

    def _tell(self, message: Message) -> None:
        for waiting in self.pages:
            if waiting.full():
                # A page that slept: all it missed is worth less than what stands there now.
                while not waiting.empty():
                    waiting.get_nowait()
                for now in (script_message(self.script, self.name), self._scene(), self._run()):
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


def rate_beside(talk: Path, walk: Walk) -> float:
    """The speaking rate learned from recorded talks beside a talk and from its own runs; words a minute."""
    recorded = sorted(
        (path for path in talk.parent.iterdir() if path.suffix.lower() in (".vtt", ".srt")),
        key=lambda path: path.stat().st_mtime,
    )
    paces = []
    for path in recorded[-MOST_EARLIER:]:
        with suppress(UnusableInput, OSError):
            paces.append(pace_of_talk(load_talk(path)))
    script = script_of(walk)
    for path in runs_of(talk)[-MOST_EARLIER:]:
        with suppress(UnusableInput):
            run = read_run(path)
            if run.stops == len(script.stops):
                paces.append(pace_of_run(script, run))
    return learned_rate(pace for pace in paces if pace is not None)


def script_message(script: Script, name: str) -> Message:
    """A script as the prompter takes it."""
    words = script.walk.talk.words
    stops = []
    for index, (stop, seconds) in enumerate(zip(script.stops, script.seconds, strict=True)):
        shown, said = stop_label(script, index)
        mine = words[stop.first : stop.last]
        text = "".join(
            ("" if not i else "\n\n" if word.paragraph != mine[i - 1].paragraph else " ") + word.text
            for i, word in enumerate(mine)
        )
        step = script.walk.steps[stop.state - 1] if stop.state else None
        returns = step is not None and not isinstance(step, MoveStep)
        own = max(0, min(step.said.last, stop.last) - stop.first) if step else 0
        stops.append(
            {
                "label": shown,
                "said": said,
                "text": text,
                "count": len(mine),
                "seconds": round(seconds, 2),
                "return": returns,
                "own": own if not index or script.stops[index - 1].state != stop.state else 0,
                "part": script.part_of(index),
                "breaks": bool(mine) and stop.first > 0 and words[stop.first - 1].paragraph != mine[0].paragraph,
            }
        )
    return {
        "what": "script",
        "talk": name,
        "title": script.walk.title,
        "rate": round(script.rate),
        "stops": stops,
        "parts": [{"name": p.name, "first": p.first, "seconds": round(p.seconds, 1)} for p in script.parts],
    }


def _following(old: Scene, scene: Scene) -> tuple[BoardMark, ...]:
    """The marks that the log's other lines say stand there now, at one stop: an aside's moves take them away, and
    coming back brings those that were there before."""
    if old.aside is not None and scene.aside is None:
        return old.kept
    return old.marks if (scene.aside or ()) == (old.aside or ()) else ()


def _seconds(value: Any) -> float:
    """How much later than its key a loudspeaker's clap sounds; a page's word for it is bounded."""
    return round(min(MOST_LATE, max(0.0, float(value))), 3) if isinstance(value, int | float) else 0.0


def _wall_clock() -> str:
    """Now, with its offset from UTC."""
    return datetime.now().astimezone().isoformat(timespec="milliseconds")
