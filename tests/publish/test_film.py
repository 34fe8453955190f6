"""The film: scenes in step with the talk, the same pictures from the same walk, an MP4 that others can play."""

from __future__ import annotations

import io
import wave
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import av
import pytest
from hypothesis import HealthCheck, given, settings

from linewright.lesson.walk import BoardMark, Walk
from linewright.publish.film.encoding import RATE, film_mp4, sound_length
from linewright.publish.film.frames import TALL, WIDE, pictures
from linewright.publish.film.shots import FilmScene, Shot, Staged, cue_text, frame_shots, said_cues, shots
from linewright.publish.timing import length, timed
from linewright.support.errors import UnusableInput
from tests.lesson.test_pgn import small
from tests.lesson.walks import walks

image = pytest.importorskip("PIL.Image", reason="needs Pillow, which pikepdf brings")

TEXT = "So e4 and then " + "well " * 6 + "e5 good."


def walk_of_seconds() -> Walk:
    """About five seconds, two moves, a ring on e5 at the end."""
    walk = small(TEXT, ("e4", "e4"), ("e5", "e5"))
    mark = BoardMark("ring", ("e5",), 2, walk.talk.words[-1].place)
    return timed(replace(walk, marks=(mark,)))


@given(walks())
@settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
def test_scenes_follow_the_steps(walk: Walk) -> None:
    spoken = timed(walk)
    found = shots(spoken)
    assert found[0].start == 0
    assert all(one.start < other.start and one.scene != other.scene for one, other in pairwise(found))
    assert found[-1].scene.state == len(walk.steps)
    plan = frame_shots(found, length(spoken), RATE)
    assert sum(count for _, count in plan) == max(1, round(length(spoken) * RATE))
    assert all(count > 0 for _, count in plan)


def test_a_mark_stays_until_the_next_step() -> None:
    walk = walk_of_seconds()
    scenes = [(round(shot.start, 3), shot.scene.state, len(shot.scene.marks)) for shot in shots(walk)]
    e4, e5 = (step.said.start for step in walk.steps)
    assert scenes == [(0.0, 0, 0), (e4, 1, 0), (e5, 2, 0), (walk.talk.words[-1].start, 2, 1)]


def test_captions_come_and_go() -> None:
    walk = walk_of_seconds()
    cues = said_cues(walk)
    assert " ".join(cue_text(cue) for cue in cues) == TEXT
    shown = [shot.scene.caption for shot in shots(walk, cues)]
    assert cue_text(cues[0]) in shown
    assert shown[-1] == ""


@pytest.mark.parametrize(("tall", "size"), [(False, WIDE), (True, TALL)])
def test_pictures_have_the_size_and_are_the_same_each_time(tall: bool, size: tuple[int, int]) -> None:
    walk = walk_of_seconds()
    scenes = [shot.scene for shot in shots(walk, said_cues(walk))]
    made = list(pictures(walk, scenes, tall=tall))
    assert made == list(pictures(walk, scenes, tall=tall))
    assert len(made) == len(scenes)
    assert len(set(made)) == len(set(scenes))
    with image.open(io.BytesIO(made[0])) as picture:
        assert picture.size == size


def probe(film: bytes) -> Any:
    return av.open(io.BytesIO(film))


def test_a_silent_film() -> None:
    walk = walk_of_seconds()
    film = film_mp4(walk)
    assert film == film_mp4(walk)
    with probe(film) as found:
        assert [stream.type for stream in found.streams] == ["video"]
        video = found.streams.video[0]
        assert (video.codec_context.name, video.width, video.height) == ("h264", *WIDE)
        assert float(video.average_rate) == RATE
        assert float(video.duration * video.time_base) == pytest.approx(length(walk), abs=1 / RATE)
        frames = [frame.to_ndarray(format="gray") for frame in found.decode(video)]
    assert len(frames) == round(length(walk) * RATE)
    # Each decoded frame is its scene's picture, but for what the encoder loses.
    plan = frame_shots(shots(walk), length(walk), RATE)
    at = 0
    for (_, count), png in zip(plan, pictures(walk, [scene for scene, _ in plan]), strict=True):
        with image.open(io.BytesIO(png)) as picture:
            grey = picture.convert("L")
        for frame in (frames[at], frames[at + count - 1]):
            shown = image.fromarray(frame)
            lost = image.blend(grey, shown, 0.5)
            assert lost.size == grey.size
            differ = sum(abs(a - b) > 60 for a, b in zip(grey.tobytes()[::997], shown.tobytes()[::997], strict=True))
            assert differ <= 40, "of 2,080 pixels"
        at += count


def test_the_recording_s_own_sound(tmp_path: Path) -> None:
    walk = walk_of_seconds()
    seconds = length(walk) + 1
    with wave.open(str(tmp_path / "talk.wav"), "wb") as sound:
        sound.setnchannels(2)
        sound.setsampwidth(2)
        sound.setframerate(22050)
        sound.writeframes(b"\1\2\3\4" * round(22050 * seconds))
    assert sound_length(tmp_path / "talk.wav") == pytest.approx(seconds, abs=0.01)
    with probe(film_mp4(walk, recording=tmp_path / "talk.wav", tall=True)) as found:
        video, audio = found.streams.video[0], found.streams.audio[0]
        assert (video.codec_context.name, video.width, video.height) == ("h264", *TALL)
        assert audio.codec_context.name == "aac"
        for stream in (video, audio):
            assert float(stream.duration * stream.time_base) == pytest.approx(seconds, abs=1 / RATE)


@pytest.mark.parametrize("content", [None, b"", b"no sound here"])
def test_a_recording_that_can_not_be_heard(tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "talk.ogg"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(UnusableInput, match=r"talk\.ogg"):
        film_mp4(walk_of_seconds(), recording=path)


def seen(walk: Walk, scene: FilmScene) -> bytes:
    return next(pictures(walk, [scene]))


def test_what_stood_on_the_stage_is_shown_and_left_exactly() -> None:
    walk = walk_of_seconds()
    ring = BoardMark("ring", ("d5",), 0, walk.talk.words[0].place)
    on_walk, away = FilmScene(1, (ring,)), FilmScene(1, aside=("c7c5", "g1f3"))
    told = [
        (-3.0, FilmScene(0)),
        (-1.0, FilmScene(1)),
        (1.0, on_walk),
        (2.0, away),
        (3.0, on_walk),
        (4.0, FilmScene(1, turned=True)),
    ]
    staged = Staged(tuple(Shot(*row) for row in told), 9.0)
    found = shots(walk, said_cues(walk), staged)
    bare = [(shot.start, replace(shot.scene, caption="")) for shot in found]
    changes = [row for before, row in pairwise([(0.0, None), *bare]) if row[1] != before[1]]
    assert changes == [(0.0, FilmScene(1)), *told[2:]], "what the camera missed at the run's beginning is not shown"
    assert any(shot.scene.caption for shot in found)
    assert len({seen(walk, scene) for _, scene in told}) == 5, "each looks different; the board comes back exactly"
    with probe(film_mp4(walk, staged=staged)) as film:
        video = film.streams.video[0]
        assert float(video.duration * video.time_base) == pytest.approx(9.0, abs=1 / RATE), (
            "it goes on to the run's end"
        )


def test_an_aside_looks_as_the_same_moves_of_a_lesson_do() -> None:
    """The board of an aside, cut out of the picture, is the one of a walk that plays those moves."""
    apart, told = walk_of_seconds(), timed(small("e4 and c5", ("e4", "e4"), ("c5", "c5")))
    boards = [
        image.open(io.BytesIO(png)).convert("L").crop((60, 104, 840, 884)).tobytes()
        for png in (seen(apart, FilmScene(1, aside=("c7c5",))), seen(told, FilmScene(2)), seen(apart, FilmScene(2)))
    ]
    assert boards[0] == boards[1] != boards[2]


def test_a_talk_without_moves_or_words() -> None:
    assert shots(Walk(timed(small("e4", ("e4", "e4"))).talk, ()))[0].scene == FilmScene(0)
    assert frame_shots(shots(Walk(small("e4", ("e4", "e4")).talk, ())), 0.0, RATE) == ((FilmScene(0), 1),)
