"""Every format that hearing takes, made here with FFmpeg's encoders, and every kind of file that is none."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from linewright.hear.recording import RATE, Sound, clock, load_sound
from linewright.support.errors import UnusableInput
from tests.hear.doubles import write_wav

av: Any = pytest.importorskip("av", reason="needs the extra: pip install '.[hear]'")

TONE = 440.0


def encode(path: Path, codec: str, seconds: float = 3.0, picture: str = "", late: float = 0.0) -> Path:
    """A tone of 440 Hz in stereo, with a picture where a video codec is named; the tone may begin late."""
    rate = 48_000
    with av.open(str(path), "w") as out:
        sound = out.add_stream(codec, rate=rate)
        sound.layout = "stereo"
        if picture:
            film = out.add_stream(picture, rate=5)
            film.width, film.height, film.pix_fmt = 64, 64, "yuv420p"
            for i in range(int((seconds + late) * 5)):
                frame = av.VideoFrame.from_ndarray(np.full((64, 64, 3), i, dtype=np.uint8))
                out.mux(film.encode(frame.reformat(format="yuv420p")))
            out.mux(film.encode())
        wave = (0.3 * np.sin(2 * np.pi * TONE * np.arange(round(seconds * rate)) / rate)).astype(np.float32)
        for start in range(0, len(wave), 960):
            piece = np.tile(wave[start : start + 960], (2, 1))
            frame = av.AudioFrame.from_ndarray(piece, format="fltp", layout="stereo")
            frame.sample_rate, frame.time_base = rate, Fraction(1, rate)
            frame.pts = start + round(late * rate)
            out.mux(sound.encode(frame))
        out.mux(sound.encode())
    return path


def pitch(samples: np.ndarray[Any, np.dtype[np.float32]]) -> float:
    """The strongest frequency in hertz."""
    return float(np.argmax(np.abs(np.fft.rfft(samples))) * RATE / len(samples))


@pytest.mark.parametrize(
    ("name", "codec", "picture"),
    [
        ("talk.wav", "pcm_s16le", ""),
        ("talk.mp3", "libmp3lame", ""),
        ("talk.m4a", "aac", ""),
        ("talk.ogg", "libopus", ""),
        ("talk.opus", "libopus", ""),
        ("talk.flac", "flac", ""),
        ("talk.mp4", "aac", "mpeg4"),
        ("talk.mkv", "aac", "mpeg4"),
        ("talk.webm", "libopus", "libvpx"),
    ],
)
def test_every_format_is_heard_at_its_pitch_and_length(tmp_path: Path, name: str, codec: str, picture: str) -> None:
    seen: list[tuple[float, float | None]] = []
    sound = load_sound(encode(tmp_path / name, codec, picture=picture), lambda *step: seen.append(step))
    assert sound.seconds == pytest.approx(3.0, abs=0.15)
    assert sound.note == ""
    middle = sound.samples[RATE : 2 * RATE]
    assert pitch(middle) == pytest.approx(TONE, abs=2)
    assert 0.15 < float(np.max(np.abs(middle))) < 0.6
    assert seen and seen == sorted(seen, key=lambda step: step[0])


def test_the_suffix_does_not_matter(tmp_path: Path) -> None:
    assert load_sound(write_wav(tmp_path / "talk.bin", 1)).seconds == pytest.approx(1, abs=0.01)


def test_sound_that_begins_after_the_picture_keeps_its_time(tmp_path: Path) -> None:
    sound = load_sound(encode(tmp_path / "talk.mkv", "aac", picture="mpeg4", late=2.0))
    loud = np.flatnonzero(np.abs(sound.samples) > 0.05)[0] / RATE
    assert loud == pytest.approx(2.0, abs=0.1)


def test_a_cut_recording_is_heard_as_far_as_it_goes_and_says_so(tmp_path: Path) -> None:
    whole = write_wav(tmp_path / "whole.wav", 20).read_bytes()
    (tmp_path / "cut.wav").write_bytes(whole[: len(whole) // 2])
    sound = load_sound(tmp_path / "cut.wav")
    assert sound.seconds == pytest.approx(10, abs=0.1)
    assert sound.note == "it was cut: 0:10 of 0:20 are there"
    assert load_sound(tmp_path / "whole.wav").note == ""


def test_what_a_note_says() -> None:
    minute = np.zeros(60 * RATE, dtype=np.float32)
    assert Sound(minute, stated=120).note == "it was cut: 1:00 of 2:00 are there"
    assert Sound(minute, stated=61).note == ""
    assert Sound(minute).note == ""
    assert "3 broken places" in Sound(minute, broken=3).note
    assert (clock(0), clock(59.6), clock(3600)) == ("0:00", "1:00", "1:00:00")


def refusal(path: Path) -> str:
    with pytest.raises(UnusableInput) as caught:
        load_sound(path)
    message = str(caught.value)
    assert "\n" not in message and str(path) in message
    return message


def test_what_is_no_recording_is_refused_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "empty.wav").write_bytes(b"")
    (tmp_path / "text.ogg").write_text("So, e4, e5, knight f3.\n" * 50)
    (tmp_path / "talk.md").write_text("# A talk\n\ne4 e5\n")
    (tmp_path / "captions.vtt").write_text("WEBVTT\n\n00:00.000 --> 00:01.000\ne4\n")
    (tmp_path / "noise.mp3").write_bytes(bytes(range(256)) * 9)
    assert "no such file" in refusal(tmp_path / "none.wav")
    assert "folder" in refusal(tmp_path)
    assert "empty" in refusal(tmp_path / "empty.wav")
    for name in ("text.ogg", "talk.md", "captions.vtt", "noise.mp3"):
        assert "wav, mp3, m4a" in refusal(tmp_path / name) or "decoded" in refusal(tmp_path / name)


def test_a_film_without_sound_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "silent.mp4"
    with av.open(str(path), "w") as out:
        film = out.add_stream("mpeg4", rate=5)
        film.width, film.height, film.pix_fmt = 64, 64, "yuv420p"
        frame = av.VideoFrame.from_ndarray(np.zeros((64, 64, 3), dtype=np.uint8)).reformat(format="yuv420p")
        out.mux(film.encode(frame))
        out.mux(film.encode())
    assert "only pictures" in refusal(path)


def test_a_film_cut_before_its_index_is_refused(tmp_path: Path) -> None:
    whole = encode(tmp_path / "whole.m4a", "aac").read_bytes()
    (tmp_path / "cut.m4a").write_bytes(whole[: len(whole) // 2])
    assert "cut" in refusal(tmp_path / "cut.m4a")


def test_any_cut_of_any_recording_is_heard_or_refused_in_one_line(tmp_path: Path) -> None:
    for name, codec in (("a.mp3", "libmp3lame"), ("a.ogg", "libopus"), ("a.mkv", "aac"), ("a.wav", "pcm_s16le")):
        whole = encode(tmp_path / name, codec, seconds=1).read_bytes()
        cut = tmp_path / f"cut-{name}"
        for share in (0.01, 0.1, 0.3, 0.6, 0.95):
            cut.write_bytes(whole[: max(1, round(len(whole) * share))])
            try:
                assert 0 < load_sound(cut).seconds <= 1.2
            except UnusableInput as error:
                assert "\n" not in str(error)


def test_broken_bytes_in_the_middle_do_not_shift_what_follows(tmp_path: Path) -> None:
    data = bytearray(encode(tmp_path / "whole.mkv", "libopus", seconds=6).read_bytes())
    data[len(data) // 2 : len(data) // 2 + 400] = b"\xff" * 400
    (tmp_path / "broken.mkv").write_bytes(data)
    assert load_sound(tmp_path / "broken.mkv").seconds == pytest.approx(6, abs=0.3)
