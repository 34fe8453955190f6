/** What is said to a pupil: the question above the board, the answer below it, and a tone. */

import { $ } from "./stand.js";
import { spokenMoves } from "./spoken.js";

export class Feedback {
  /** @param {() => boolean} sounds whether the pupil has asked for sound. */
  constructor(sounds) {
    this.sounds = sounds;
    /** @type {AudioContext | null} */
    this.audio = null;
  }

  /** The question, which takes the focus so that it is read out. */
  ask(text) {
    $("asked").replaceChildren(...spokenMoves(text));
    $("asked").focus({ preventScroll: true });
  }

  /** Says something beside the board, with the trainer's words under it. */
  say(lines, words = "") {
    const parts = lines.filter(Boolean).map((text) => {
      const line = document.createElement("p");
      line.append(...spokenMoves(text));
      return line;
    });
    if (words) parts.push(Object.assign(document.createElement("blockquote"), { textContent: words }));
    $("feedback").replaceChildren(...parts);
  }

  /** A short soft tone, where the pupil has asked for sound. */
  tone(right) {
    if (!this.sounds()) return;
    this.audio ??= new AudioContext();
    const [voice, volume] = [this.audio.createOscillator(), this.audio.createGain()];
    voice.frequency.value = right ? 660 : 196;
    volume.gain.setValueAtTime(0.08, this.audio.currentTime);
    volume.gain.exponentialRampToValueAtTime(0.001, this.audio.currentTime + 0.25);
    voice.connect(volume).connect(this.audio.destination);
    voice.start();
    voice.stop(this.audio.currentTime + 0.25);
  }
}
