"""Encoding the film: H.264 and AAC in an MP4 file, through FFmpeg's libraries (``av``)."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import av.error
from av.audio.resampler import AudioResampler
from av.video.frame import PictureType

from linewright.captions.subtitles import CaptionCue
from linewright.lesson.walk import Walk
from linewright.publish.film.frames import TALL, WIDE, pictures
from linewright.publish.film.shots import FilmScene, Staged, frame_shots, shots
from linewright.publish.theme import PLAIN, Theme
from linewright.publish.timing import length
from linewright.support.errors import UnusableInput

#: Frames a second. A board changes every few seconds and a word lasts a third of one, so a tenth is soon enough;
#: more only cost time and bytes.
RATE = 10
#: Constant quality of x264, 0-51, less is better: hatching stays clean at 20 (looked at), bytes are few anyhow.
QUALITY = 20
#: A whole picture at least this often, in seconds: what a player may have to wait for after a jump.
KEY = 5
#: Hertz and bits a second of the sound: speech.
SOUND_RATE, SOUND_BITS = 48_000, 96_000


def film_mp4(
    walk: Walk,
    theme: Theme = PLAIN,
    tall: bool = False,
    cues: Sequence[CaptionCue] = (),
    recording: Path | None = None,
    progress: Callable[[float], None] | None = None,
    staged: Staged | None = None,
) -> bytes:
    """The film of a walk with times, as the bytes of an MP4 file; the same input gives the same bytes.

    :param tall: upright, 1080 by 1920, instead of 1920 by 1080.
    :param cues: captions to burn in.
    :param recording: whose sound the film gets; None for a silent film.
    :param progress: called with the part (0-1) of the frames that are done.
    :param staged: what stood on the stage, to be shown instead of the walk's steps; a silent film goes on to its end.
    :raises UnusableInput: when the recording can't be read or has no sound.
    """
    ends = sound_length(recording) if recording else staged.end if staged else 0.0
    plan = frame_shots(shots(walk, cues, staged), max(length(walk), ends), RATE)
    different = list(dict.fromkeys(scene for scene, _ in plan))
    with tempfile.TemporaryDirectory() as folder:
        # A file of its own: the index can be put to the front only of one that can be read again.
        path = Path(folder) / "film.mp4"
        _encode(path, walk, plan, _Drawn(walk, different, theme, tall), tall, recording, progress)
        return path.read_bytes()


def _encode(
    path: Path,
    walk: Walk,
    plan: Sequence[tuple[FilmScene, int]],
    drawn: _Drawn,
    tall: bool,
    recording: Path | None,
    progress: Callable[[float], None] | None,
) -> None:
    """Write the scenes, each for its number of frames, and the recording's sound beside them."""
    with av.open(str(path), "w", format="mp4", options={"movflags": "+faststart", "fflags": "+bitexact"}) as film:
        film.metadata["title"] = walk.title
        picture = film.add_stream("libx264", rate=RATE)
        picture.width, picture.height = TALL if tall else WIDE
        picture.pix_fmt = "yuv420p"
        picture.options = {"preset": "veryfast", "tune": "stillimage", "crf": str(QUALITY), "threads": "2"}
        picture.gop_size = KEY * RATE
        sound = film.add_stream("aac", rate=SOUND_RATE, layout="mono") if recording else None
        if sound is not None:
            sound.bit_rate = SOUND_BITS
        total, at = sum(count for _, count in plan), 0
        voice = _encoded(recording, sound) if recording else iter(())
        heard = next(voice, None)
        for scene, count in plan:
            frame = drawn.frame(scene)
            for _ in range(count):
                frame.pts, frame.time_base = at, Fraction(1, RATE)
                film.mux(picture.encode(frame))
                at += 1
            # Sound goes in beside the picture, so that players need not jump about in the file.
            while heard is not None and heard.pts * heard.time_base <= Fraction(at, RATE):
                film.mux(heard)
                heard = next(voice, None)
            if progress:
                progress(at / total)
        film.mux(picture.encode(None))
        while heard is not None:
            film.mux(heard)
            heard = next(voice, None)


class _Drawn:
    """Pictures as frames, each drawn once; they come in the order in which the film first needs them."""

    def __init__(self, walk: Walk, scenes: Sequence[FilmScene], theme: Theme, tall: bool) -> None:
        self.coming: Iterator[tuple[FilmScene, bytes]] = zip(scenes, pictures(walk, scenes, theme, tall), strict=True)
        # Kept as PNG: a decoded picture takes 3 MB, this one a thirtieth.
        self.known: dict[FilmScene, bytes] = {}

    def frame(self, scene: FilmScene) -> Any:
        while scene not in self.known:
            drawn, png = next(self.coming)
            self.known[drawn] = png
        # A decoder for each picture: one that goes on takes the next picture for changes to the last.
        decoder: Any = av.CodecContext.create("png", "r")
        decoded = decoder.decode(av.Packet(self.known[scene]))[0]
        frame = decoded.reformat(
            format="yuv420p", dst_colorspace="ITU709", src_color_range="JPEG", dst_color_range="MPEG"
        )
        # A decoded picture calls itself a key frame, which would make each of its copies one.
        frame.pict_type = PictureType.NONE
        return frame


def _encoded(recording: Path, stream: Any) -> Iterator[Any]:
    """The recording's sound as packets of a stream, from its beginning to its end."""
    with opened(recording) as source:
        resampler = AudioResampler(format="fltp", layout="mono", rate=SOUND_RATE)
        for frame in source.decode(source.streams.audio[0]):
            for part in resampler.resample(frame):
                yield from stream.encode(part)
        for part in resampler.resample(None):
            yield from stream.encode(part)
        yield from stream.encode(None)


def sound_length(recording: Path) -> float:
    """Seconds of a recording's sound."""
    with opened(recording) as source:
        stream = source.streams.audio[0]
        if stream.duration is not None and stream.time_base is not None:
            return float(stream.duration * stream.time_base)
        return (source.duration or 0) / av.time_base


def opened(recording: Path) -> Any:
    """A recording with sound, open for reading.

    :raises UnusableInput: when there is none.
    """
    try:
        source = av.open(str(recording))
    except (OSError, av.error.FFmpegError) as error:
        raise UnusableInput(
            f"{recording}: the recording can't be read: {error.strerror or error}",
            "Check the name, or check that it plays.",
        ) from None
    if not source.streams.audio:
        source.close()
        raise UnusableInput(f"{recording}: no sound in this recording", "Leave --recording out for a silent film.")
    return source
