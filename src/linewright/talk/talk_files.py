"""The talks of a folder, and the recordings beside them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from linewright.talk.load import PLAYED_SUFFIXES, TALK_SUFFIXES


@dataclass(frozen=True, slots=True)
class SourceTalk:
    """A talk's file.

    :param recording: the recording beside it, used where the talk has times; None where there is none.
    """

    path: Path
    recording: Path | None = None


def talks_in(folder: Path) -> tuple[Path, ...]:
    """The folder's talks by name, one for each name before the suffix; hidden files are none, nor those in folders
    below."""
    best: dict[str, tuple[int, Path]] = {}
    for path in sorted(folder.iterdir()):
        rank = _rank(path)
        if rank is None or path.name.startswith(".") or not path.is_file():
            continue
        stem = talk_stem(path)
        if stem not in best or rank < best[stem][0]:
            best[stem] = (rank, path)
    return tuple(path for _, (_, path) in sorted(best.items()))


def source_talk(path: Path) -> SourceTalk:
    """A talk with the recording that lies beside it under its name, as ``slav.mp3`` does by ``slav.vtt``."""
    named = (path.with_name(f"{talk_stem(path)}{suffix}") for suffix in PLAYED_SUFFIXES)
    return SourceTalk(path, next((file for file in named if file.is_file()), None))


def talk_stem(path: Path) -> str:
    """A talk's file name without the suffix that tells its format: ``slav`` of ``slav.words.json``."""
    rank = _rank(path)
    return path.stem if rank is None else path.name[: -len(TALK_SUFFIXES[rank])]


def _rank(path: Path) -> int | None:
    """The place of a file's suffix in :data:`TALK_SUFFIXES`; None where it is none of a talk."""
    name = path.name.lower()
    return next((rank for rank, suffix in enumerate(TALK_SUFFIXES) if name.endswith(suffix)), None)
