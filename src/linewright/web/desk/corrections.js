/** Dictated phrases: once they are read where they stand, what was misheard of their moves is corrected. */

import { movedAll } from "./spans.js";

export class Corrections {
  /**
   * @param {{ask: (number: number, words: string, at: number) => void,
   *   replace: (a: number, z: number, words: string) => void}} host  `ask`: a phrase that begins at that place.
   */
  constructor(host) {
    this.host = host;
    this.numbers = 0;
    /** @type {{a: number, z: number, words: string, serial: number, number: number}[]} */
    this.phrases = [];
  }

  /** A phrase was written, and goes out to be read with that serial. */
  heard(a, z, words, serial) {
    this.phrases.push({ a, z, words, serial, number: 0 });
  }

  /** Phrases that were edited since are left to the trainer. */
  edited(edit) {
    this.phrases = movedAll(this.phrases, [edit]);
  }

  /** A text was read: now it is known what stands on the board before each of its phrases. */
  read(serial) {
    for (const phrase of this.phrases) {
      if (phrase.number || phrase.serial > serial) continue;
      this.numbers += 1;
      phrase.number = this.numbers;
      this.host.ask(phrase.number, phrase.words, phrase.a);
    }
  }

  corrected(/** @type {import("./to_manuscript").Corrected} */ { number, words }) {
    const phrase = this.phrases.find((other) => other.number === number);
    this.phrases = this.phrases.filter((other) => other !== phrase);
    if (phrase && words !== phrase.words) this.host.replace(phrase.a, phrase.z, words);
  }
}
