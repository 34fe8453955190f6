/** How far a reading has come, shown only of one that takes long: a whole talk's first. */

/** Milliseconds after which it is shown. */
const LONG = 700;

export class Progress {
  /** @param {HTMLProgressElement} bar */
  constructor(bar) {
    this.bar = bar;
  }

  begun() {
    if (!this.bar.hidden) return;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => (this.bar.hidden = false), LONG);
  }

  /** @param {number} part  of the talk, 0-1 */
  reached(part) {
    this.bar.value = part;
  }

  done() {
    clearTimeout(this.timer);
    this.bar.hidden = true;
    this.bar.value = 0;
  }
}
