"""The recogniser: Whisper models, run by faster-whisper on this machine's processors."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from linewright.hear.heard_words import HeardStretch, HeardWord
from linewright.hear.recording import Sound
from linewright.support.errors import UnusableInput
from linewright.support.extras import extra

#: The language that is heard; what reads the words knows no other.
LANGUAGE: Final = "en"
#: Samples, and frames of the model's picture of the sound, in a second.
RATE: Final = 16_000
FRAMES_A_SECOND: Final = 100
#: Seconds of sound that the model looks at when a phrase is heard live: it was taught on 30, hears nearly as well on
#: 10 with a third of the work, and below begins to repeat itself (measured on two of the given voices).
SHORTEST_WINDOW: Final = 10
LONGEST_WINDOW: Final = 30
#: Tokens written for a phrase at most: these, and so many for each second; quick speech has 6.
LEAST_TOKENS: Final = 12
TOKENS_A_SECOND: Final = 8
#: Words that can be said in a second; a square such as "e4" takes longer.
WORDS_A_SECOND: Final = 2.0
#: Readings kept while a phrase is heard live: two cost little more than one, five a third more.
PHRASE_BEAM: Final = 2
#: Probability that nothing was said, above which a phrase is taken for noise.
SILENT: Final = 0.8


@dataclass(frozen=True, slots=True)
class Settings:
    """How hard the recogniser works; measured by ``bench/bench_hear.py``.

    :param compute: whole numbers of eight bits, heard as well as with 32-bit floats in half the time.
    :param batch: stretches of up to 30 s between silences that are heard at once. Each is given the prompt again;
        going on from the words before instead takes half as long again and hears no better. Four at once save a
        tenth, but progress shows and Ctrl-C is noticed only between batches.
    :param beam: readings kept while a stretch is heard; ten hear the same and take a quarter longer.
    """

    compute: str = "int8"
    batch: int = 2
    beam: int = 5


class Whisper:
    """A model, loaded once; hears any number of recordings. Use it in one thread."""

    def __init__(self, folder: Path, name: str = "", settings: Settings = Settings()) -> None:
        """
        :param folder: as :func:`linewright.hear.models.model_folder` finds it.
        :param name: how the user knows it; else the folder's.
        :raises UnusableInput: when the extra is not installed or the folder holds no model that can be loaded.
        """
        library = extra("faster_whisper", "hear")
        self._name = name or folder.name
        self._settings = settings
        try:
            model = library.WhisperModel(
                str(folder),
                device="cpu",
                compute_type=settings.compute,
                cpu_threads=processors(),
                local_files_only=True,
            )
            model.hf_tokenizer = _corrected(folder, model.hf_tokenizer)
            self._single = model
            self._tokenizer = extra("faster_whisper.tokenizer", "hear").Tokenizer(
                model.hf_tokenizer, model.model.is_multilingual, task="transcribe", language=LANGUAGE
            )
            self._model = library.BatchedInferencePipeline(model)
        except (RuntimeError, ValueError, OSError) as error:
            why = next(iter(str(error).splitlines()), type(error).__name__)
            raise UnusableInput(
                f"{folder}: this speech model can't be loaded: {why}", "Fetch it again, or name another: --model DIR."
            ) from None

    @property
    def name(self) -> str:
        return self._name

    def stretches(self, sound: Sound, prompt: str) -> Iterator[HeardStretch]:
        """Hear a recording, some seconds at a time; see :class:`linewright.hear.heard_words.Recogniser`."""
        segments, _ = self._model.transcribe(
            sound.samples,
            language=LANGUAGE,
            word_timestamps=True,
            hotwords=prompt or None,
            batch_size=self._settings.batch,
            beam_size=self._settings.beam,
        )
        for segment in segments:
            words = tuple(
                HeardWord(w.word, float(w.start), float(w.end), min(1.0, max(0.0, float(w.probability))))
                for w in segment.words or ()
            )
            yield HeardStretch(words, float(segment.end))

    def phrase(self, samples: npt.NDArray[np.float32], prompt: str) -> str:
        """One spoken phrase as text, as soon as can be: without times, and on a window no longer than it needs.

        :param samples: mono, 16 kHz, -1 to 1; at most 30 seconds count.
        :param prompt: as for :meth:`stretches`.
        :returns: ``""`` where there is no speech.
        """
        audio, model = extra("faster_whisper.audio", "hear"), self._single
        seconds = min(LONGEST_WINDOW, len(samples) / RATE)
        window = min(LONGEST_WINDOW, max(SHORTEST_WINDOW, math.ceil(seconds) + 1))
        features = model.feature_extractor(samples[: LONGEST_WINDOW * RATE])
        given = model.get_prompt(self._tokenizer, [], without_timestamps=True, hotwords=prompt or None)
        most = len(given) + LEAST_TOKENS + round(TOKENS_A_SECOND * seconds)
        (heard,) = model.model.generate(
            model.encode(audio.pad_or_trim(features, window * FRAMES_A_SECOND)),
            [given],
            beam_size=PHRASE_BEAM,
            max_length=most,
            return_no_speech_prob=True,
        )
        if heard.no_speech_prob > SILENT:
            return ""
        text = self._tokenizer.decode(heard.sequences_ids[0]).strip()
        return without_echo(text, seconds)


def without_echo(text: str, seconds: float) -> str:
    """A phrase without the repetitions that short sounds make the model write: "e4, e4," in half a second."""
    parts = text.split(", ")
    while len(parts) > 1 and len(text.split()) > WORDS_A_SECOND * seconds:
        if parts[-1].strip(".,!? ").lower() != parts[-2].strip(".,!? ").lower():
            break
        parts.pop()
        text = ", ".join(parts)
    return text


def processors() -> int:
    """How many processors this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1


def _corrected(folder: Path, tokenizer: Any) -> Any:
    """The model's tokenizer with the first of its merges, which many packagings of the models lack.

    Without " t" as a merge, " takes" in the text given beforehand is spelt as three odd pieces that the model
    never writes itself. A file that is laid out in another way is left as it is.
    """
    try:
        document = json.loads((folder / "tokenizer.json").read_text(encoding="utf-8"))
        merges, known = document["model"]["merges"], document["model"]["vocab"]
    except (OSError, ValueError, KeyError, TypeError):
        return tokenizer
    if "Ġt" not in known or not merges or "Ġ t" in merges or ["Ġ", "t"] in merges:
        return tokenizer
    merges.insert(0, "Ġ t" if isinstance(merges[0], str) else ["Ġ", "t"])
    return type(tokenizer).from_str(json.dumps(document))
