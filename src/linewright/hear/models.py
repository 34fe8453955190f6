"""Where speech models lie: a folder, a name, or Linewright's own folder; fetched only when asked to."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from linewright.support.errors import UnusableInput
from linewright.support.extras import extra
from linewright.support.paths import home

#: Names the model where the command line doesn't.
VARIABLE: Final = "LINEWRIGHT_MODEL"

#: What ``--download`` fetches unless said otherwise: seven minutes of talk take about a minute on two cores.
DEFAULT: Final = "base"

#: Files that a model's folder needs. Without the tokenizer the library would fetch one unasked.
NEEDED: Final = ("model.bin", "config.json", "tokenizer.json")


def model_folder(named: str | None, download: bool = False, report: Callable[[str], None] | None = None) -> Path:
    """The folder of the model that the user means.

    :param named: a folder, or a name as faster-whisper knows it ("base", "small.en"); None for the one in
        ``LINEWRIGHT_MODEL``, else the ``model`` folder in Linewright's home.
    :param download: fetch the model when it is not there.
    :param report: called with what is fetched, before it is.
    :raises UnusableInput: when it isn't there, is incomplete, or can't be fetched.
    """
    wanted = named or os.environ.get(VARIABLE) or None
    if wanted and (Path(wanted).expanduser().is_dir() or _looks_like_path(wanted)):
        return _complete(Path(wanted).expanduser())
    folder = home() / "models" / _file_name(wanted) if wanted else home() / "model"
    if folder.is_dir():
        return _complete(folder)
    if wanted and (cached := _cached(wanted)):
        return _complete(cached)
    if download:
        return _fetch(wanted or DEFAULT, folder, report)
    if wanted:
        raise UnusableInput(
            f"there is no speech model “{wanted}” on this computer",
            f"Fetch it with: linewright hear … --model {wanted} --download (or give a folder: --model DIR).",
        )
    raise UnusableInput(
        f"there is no speech model at {folder}",
        "Fetch one (about 150 MB) with: linewright hear … --download (or give a folder: --model DIR).",
    )


def _looks_like_path(wanted: str) -> bool:
    """A name may hold one slash (maker/model); more, or a dot or tilde in front, make a path."""
    return wanted.startswith(("/", ".", "~", "\\")) or wanted.count("/") > 1 or "\\" in wanted


def _file_name(wanted: str) -> str:
    return re.sub(r"[^A-Za-z0-9._-]+", "--", wanted)


def _complete(folder: Path) -> Path:
    if not folder.is_dir():
        raise UnusableInput(f"{folder}: no such folder", "Name the folder of a speech model: --model DIR.")
    missing = [name for name in NEEDED if not (folder / name).is_file()]
    if missing:
        raise UnusableInput(
            f"{folder}: no speech model, {' and '.join(missing)} {'is' if len(missing) == 1 else 'are'} missing",
            "It should be a Whisper model in CTranslate2's layout, as faster-whisper uses them.",
        )
    return folder


def _cached(name: str) -> Path | None:
    """A model that faster-whisper fetched before, for whatever program; never asks the network."""
    try:
        return Path(extra("faster_whisper", "hear").download_model(name, local_files_only=True))
    except UnusableInput:
        raise
    except Exception:  # unknown name, nothing in the cache: each version has its own error
        return None


def _fetch(name: str, folder: Path, report: Callable[[str], None] | None) -> Path:
    """Fetch a model into a folder beside its place and move it there once it is whole."""
    whisper: Any = extra("faster_whisper", "hear")
    if report:
        report(f"fetching the speech model “{name}” into {folder}")
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        part = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    except OSError as error:
        raise UnusableInput(
            f"{folder}: can't be made: {error.strerror or error}", "Choose another LINEWRIGHT_HOME."
        ) from None
    try:
        whisper.download_model(name, output_dir=str(part))
        _complete(part)
        part.chmod(0o755)
        part.replace(folder)
    except UnusableInput:
        raise
    except Exception as error:  # network, unknown name, disk: each version has its own
        why = next(iter(str(error).splitlines()), "") or type(error).__name__
        raise UnusableInput(
            f"the speech model “{name}” can't be fetched: {why}", "Check the name and the network, and try again."
        ) from None
    finally:
        with suppress(OSError):
            shutil.rmtree(part)
    return _complete(folder)
