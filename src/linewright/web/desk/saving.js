/** The text on the page and the text in the file: saved after a rest, and brought together when both were changed. */

import { settleConflict } from "./conflict.js";
import { editBetween } from "./spans.js";

export class Saving {
  /**
   * @param {import("./manuscript.js").Manuscript} manuscript
   * @param {{send: (message: import("./from_manuscript").SaveText) => boolean, begin: (text: string) => number, textOf: (serial: number) => string | undefined,
   *   read: () => void, later: () => void, say: (words: string) => void}} host  `begin` numbers a text that goes out;
   *   `later` saves after a rest.
   */
  constructor(manuscript, host) {
    this.manuscript = manuscript;
    this.host = host;
    this.version = "";
    /** @type {string | null} the text as the file has it. */
    this.saved = null;
    this.busy = false;
    /** The trainer is settling what was changed on both sides. */
    this.choosing = false;
  }

  get clean() {
    return this.manuscript.text === this.saved;
  }

  /** The file as it is when the page opens. */
  opened(/** @type {import("./to_manuscript").Hello} */ { version, text }) {
    this.version = version;
    this.saved = text;
    this.manuscript.load(text);
  }

  save() {
    if (this.busy || this.clean) return;
    const { text } = this.manuscript;
    this.busy = this.host.send({ do: "save", serial: this.host.begin(text), text, base: this.version });
    if (this.busy) this.host.read();
  }

  /** The desk has written a text. */
  wrote(/** @type {import("./to_manuscript").Saved} */ { serial, version }) {
    this.busy = false;
    this.version = version;
    this.saved = this.host.textOf(serial) ?? this.saved;
    if (this.clean) this.host.say("saved");
    else this.host.later();
  }

  /** The file changed on the disk: shown at once when nothing here is unsaved; else both are brought together. */
  onDisk(/** @type {{version: string, text: string}} */ { version, text }) {
    if (version === this.version) return;
    if (this.clean || text === this.manuscript.text) {
      this.taken(version, text, text);
      this.host.say("changed on the disk, and here");
      this.host.read();
    } else this.save();
  }

  /** The file and the page were both changed. */
  async conflict(/** @type {import("./to_manuscript").TextConflict} */ message) {
    this.busy = false;
    if (this.choosing) return;
    if (message.merged !== null) {
      this.taken(message.version, message.theirs, message.merged);
      this.host.say("changed on the disk too; both changes are here now");
    } else {
      this.choosing = true;
      const settled = await settleConflict(message);
      this.choosing = false;
      if (settled === null) return;
      this.taken(message.version, message.theirs, settled);
    }
    this.host.later();
    this.host.read();
  }

  /** The file's version and text are known; the page gets another text. */
  taken(version, theirs, text) {
    this.version = version;
    this.saved = theirs;
    this.takeText(text);
  }

  /** Make the text another one, as one edit that can be undone. */
  takeText(text) {
    const edit = editBetween(this.manuscript.text, text);
    if (edit) this.manuscript.replace(edit.at, edit.at + edit.removed, text.slice(edit.at, edit.at + edit.inserted));
  }
}
