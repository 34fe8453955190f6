"""The sound of a recording: any audio or video that FFmpeg's libraries read, as one channel of samples."""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from linewright.support.errors import UnusableInput
from linewright.support.extras import extra

#: Samples a second that the recogniser wants.
RATE: Final = 16_000

#: Hours above which a recording is taken for a mistake: three hours of samples are 0.7 GB of memory.
MOST_HOURS: Final = 3

#: Seconds by which a frame must come late for silence to be put in its place: less is how players round, more
#: is sound that was lost or begins after the picture, and would shift all captions after it.
LATE: Final = 0.2
#: Seconds above which a gap is taken for a broken clock rather than for lost sound.
BROKEN_CLOCK: Final = 60.0

#: A recording ends early when it lacks this many seconds, and this share, of what its header says; below that
#: it is rounding.
LACKS_SECONDS: Final = 2.0
LACKS_SHARE: Final = 0.02

#: Containers whose header states the length; others guess it from the size (mp3), or state what is there (ogg).
STATES_LENGTH: Final = {"wav", "mov", "matroska", "flac"}

_FORMATS: Final = "Give audio or video: wav, mp3, m4a, ogg, opus, mp4, mkv or webm."


@dataclass(frozen=True, slots=True)
class Sound:
    """A recording's sound.

    :param samples: shape (n,), one channel, -1 to 1, :data:`RATE` a second; its time 0 is the recording's.
    :param stated: seconds that the recording's header promises, 0 where it says nothing reliable.
    :param broken: packets that could not be decoded and are left out.
    """

    samples: npt.NDArray[np.float32]
    stated: float = 0.0
    broken: int = 0

    @property
    def seconds(self) -> float:
        return len(self.samples) / RATE

    @property
    def note(self) -> str:
        """What part of the recording is missing; ``""`` when it is whole."""
        lacking = self.stated - self.seconds
        if lacking > max(LACKS_SECONDS, LACKS_SHARE * self.stated):
            return f"it was cut: {clock(self.seconds)} of {clock(self.stated)} are there"
        return f"{self.broken} broken places are left out" if self.broken else ""


def clock(seconds: float) -> str:
    """Seconds as a clock shows them.

    >>> clock(61.6), clock(3725)
    ('1:02', '1:02:05')
    """
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def check_recording(path: Path) -> None:
    """What can be said without opening the file's contents.

    :raises UnusableInput: when there is no such file, or it is a folder, empty or not to be read.
    """
    try:
        if path.is_dir():
            raise UnusableInput(f"{path}: this is a folder", "Name a recording inside it.")
        with path.open("rb") as file:
            if not file.read(1):
                raise UnusableInput(f"{path}: this file is empty", "Record again, or copy it again.")
    except FileNotFoundError:
        raise UnusableInput(f"{path}: no such file", "Check the name and the folder.") from None
    except OSError as error:
        raise UnusableInput(
            f"{path}: can't be read: {error.strerror or error}", "Check the name and the disk."
        ) from None


def load_sound(path: Path, progress: Callable[[float, float | None], None] | None = None) -> Sound:
    """The sound of an audio or video file.

    :param progress: called with the seconds decoded and, where known, in all.
    :raises UnusableInput: when it is not a recording, has no sound, or is too long.
    """
    check_recording(path)
    av: Any = extra("av", "hear")
    try:
        with av.open(str(path), metadata_errors="ignore") as container:
            stream = container.streams.best("audio")
            if stream is None:
                raise UnusableInput(f"{path}: {_instead(container)}", _FORMATS)
            timeline = _Timeline(av, container, stream, _riff_seconds(path))
            total = timeline.stated or None
            for seconds in timeline.decode():
                if seconds > MOST_HOURS * 3600:
                    raise UnusableInput(f"{path}: over {MOST_HOURS} hours long", "Part it into talks.")
                if progress:
                    progress(seconds, total)
    except (av.error.FFmpegError, ValueError, OverflowError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise UnusableInput(
            f"{path}: no audio or video that can be read ({why}); if it is a recording, it was cut", _FORMATS
        ) from None
    sound = timeline.sound()
    if not len(sound.samples):
        raise UnusableInput(f"{path}: not one moment of its sound can be decoded", "Record or copy it again.")
    return sound


def _riff_seconds(path: Path) -> float:
    """The length that a WAV file's header states (FFmpeg reports the length that is there), 0 for other files.

    RIFF: the file's size after eight bytes; "fmt ", the first chunk, has the bytes a second at offset 28.
    """
    with path.open("rb") as file:
        head = file.read(32)
    if len(head) < 32 or head[:4] != b"RIFF" or head[8:16] != b"WAVEfmt ":
        return 0.0
    size, rate = struct.unpack_from("<I", head, 4)[0], struct.unpack_from("<I", head, 28)[0]
    unknown = size >= 0xFFFFFF00  # written while the length wasn't known, and never set
    return 0.0 if unknown or not rate else float((size - 36) / rate)


def _instead(container: Any) -> str:
    kinds = {stream.type for stream in container.streams}
    return "only pictures, no sound in it" if "video" in kinds else "no sound in it"


class _Timeline:
    """Decodes one stream, each frame at its own time, silence where none came."""

    def __init__(self, av: Any, container: Any, stream: Any, stated: float) -> None:
        self._container, self._stream = container, stream
        self._error = av.error.FFmpegError
        self._resampler = av.AudioResampler(format="s16", layout="mono", rate=RATE)
        self._pieces: list[npt.NDArray[np.int16]] = []
        self._samples = 0
        self._broken = 0
        self._begin = (container.start_time or 0) / av.time_base
        self._shift = 0.0
        names = set(container.format.name.split(","))
        given = (container.duration or 0) / av.time_base if names & STATES_LENGTH else 0.0
        self.stated = max(0.0, given, stated)

    def decode(self) -> Iterator[float]:
        """Decode all packets that can be; yields the seconds so far."""
        for packet in self._packets():
            try:
                frames = packet.decode()
            except self._error:
                self._broken += 1
                continue
            for frame in frames:
                self._fill(frame)
                for piece in self._resampler.resample(frame):
                    self._take(piece)
            yield self._samples / RATE
        for piece in self._resampler.resample(None):
            self._take(piece)

    def _packets(self) -> Iterator[Any]:
        """The stream's packets; the file's damaged end is its end."""
        packets = self._container.demux(self._stream)
        try:
            yield from packets
        except self._error:
            self._broken += 1

    def _fill(self, frame: Any) -> None:
        """Silence up to the frame's own time, where it comes late."""
        if frame.time is not None:
            gap = frame.time - self._begin - self._shift - self._samples / RATE
            if abs(gap) > BROKEN_CLOCK:
                self._shift += gap
            elif gap > LATE:
                silence = np.zeros(round(gap * RATE), dtype=np.int16)
                self._pieces.append(silence)
                self._samples += len(silence)
        frame.pts = None  # the resampler would fill gaps in its own way

    def _take(self, frame: Any) -> None:
        piece = frame.to_ndarray().reshape(-1)
        self._pieces.append(piece)
        self._samples += len(piece)

    def sound(self) -> Sound:
        whole = np.concatenate(self._pieces) if self._pieces else np.zeros(0, dtype=np.int16)
        return Sound(whole.astype(np.float32) / np.float32(32768), self.stated, self._broken)
