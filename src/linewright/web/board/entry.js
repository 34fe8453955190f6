/** The field in which a move is typed, in any way of writing or saying it. */

import { inWords, moveOf } from "./san.js";

export class MoveEntry {
  /**
   * @param {import("./board.js").Board} board
   * @param {(move: import("./position.js").Move) => void} typed
   * @param {() => void} left called when the field is closed and the focus is to go back.
   */
  constructor(board, typed, left) {
    this.board = board;
    this.typed = typed;
    this.left = left;
    this.element = Object.assign(document.createElement("form"), { className: "entry", hidden: true });
    this.input = Object.assign(document.createElement("input"), { autocomplete: "off", spellcheck: false });
    this.name = document.createElement("span");
    const label = document.createElement("label");
    label.append(this.name, " ", this.input);
    this.element.append(label);
    this.element.addEventListener("submit", (event) => {
      event.preventDefault();
      this.take();
    });
    this.element.addEventListener("keydown", (event) => {
      event.stopPropagation();
      if (event.key === "Escape") this.shut();
    });
    this.element.addEventListener("focusout", () => this.shut(false));
  }

  /** Opens the field with its first letter. */
  open(first) {
    this.name.textContent = this.board.labels.entry;
    this.element.hidden = false;
    this.input.value = first;
    this.input.focus();
    this.input.setSelectionRange(first.length, first.length);
  }

  shut(back = true) {
    if (this.element.hidden) return;
    this.element.hidden = true;
    this.input.removeAttribute("aria-invalid");
    if (back) this.left();
  }

  take() {
    const { position, labels } = this.board;
    const text = this.input.value.trim();
    if (!text) return this.shut();
    const answer = moveOf(position, text, labels);
    if (answer.move) {
      this.shut();
      return this.typed(answer.move);
    }
    const said = (answer.moves ?? []).map((san) => inWords(san, labels));
    const why = labels[answer.why ?? "unread"](text, said);
    this.board.announce(why);
    this.input.select();
    this.input.setAttribute("aria-invalid", "true");
    this.name.textContent = why;
  }
}
