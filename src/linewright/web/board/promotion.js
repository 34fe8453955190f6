/** What a pawn becomes: four buttons with the men's pictures. */

import { manPicture } from "./diagram.js";
import { manWords } from "./words.js";

const STEPS = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 };

export class PromotionChoice {
  /**
   * @param {() => void} left called when nothing is chosen.
   */
  constructor(left) {
    this.left = left;
    this.element = Object.assign(document.createElement("div"), { className: "choice", hidden: true });
    this.element.setAttribute("role", "dialog");
    this.element.addEventListener("keydown", (event) => this.key(event));
  }

  /**
   * Lets one of a pawn's moves be chosen, which differ in what it becomes.
   *
   * @param {import("./position.js").Move[]} moves
   * @param {boolean} white
   * @param {import("./labels.js").Labels} labels
   * @param {(move: import("./position.js").Move) => void} chosen
   */
  open(moves, white, labels, chosen) {
    this.element.ariaLabel = labels.promote;
    this.buttons = moves.map((move) => {
      const man = white ? move.promotes.toUpperCase() : move.promotes;
      const button = Object.assign(document.createElement("button"), { type: "button" });
      button.ariaLabel = manWords(man, labels);
      button.dataset.promotes = move.promotes;
      button.append(manPicture(man));
      button.addEventListener("click", () => {
        this.element.hidden = true;
        chosen(move);
      });
      return button;
    });
    this.element.replaceChildren(...this.buttons);
    this.element.hidden = false;
    this.buttons[0].focus();
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    event.stopPropagation();
    const buttons = this.buttons ?? [];
    const far = STEPS[event.key];
    if (far) {
      event.preventDefault();
      const at = buttons.findIndex((button) => button.matches(":focus"));
      buttons.at((at + far) % buttons.length)?.focus();
    }
    if (event.key === "Escape") this.left();
  }
}
