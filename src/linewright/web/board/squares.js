/** The grid of squares over the diagram, for pointing at, for walking over by keys, and for the ear. */

import { nameOf } from "./position.js";

const FAR = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

function made(kind, attributes) {
  const item = document.createElement(kind);
  for (const [key, value] of Object.entries(attributes)) item.setAttribute(key, value);
  return item;
}

export class Squares {
  constructor() {
    this.black = false;
    this.focused = 4; // e1
    this.element = made("div", { class: "grid", role: "grid", "aria-describedby": "keys" });
    /** Cells in the order of the picture: rows from above, each from the left. */
    this.cells = [];
    for (let row = 0; row < 8; row++) {
      const line = made("div", { class: "row", role: "row" });
      for (let column = 0; column < 8; column++) {
        const cell = made("div", { class: "square", role: "gridcell", tabindex: "-1" });
        this.cells.push(cell);
        line.append(cell);
      }
      this.element.append(line);
    }
  }

  /** The cell of a square. */
  cell(square) {
    const [file, down] = [square & 7, 7 - (square >> 3)];
    return this.cells[this.black ? (7 - down) * 8 + 7 - file : down * 8 + file];
  }

  /** The square of a place in the picture, counted from above and from the left. */
  at(column, row) {
    return this.black ? row * 8 + 7 - column : (7 - row) * 8 + column;
  }

  /** The square under a point of the window, -1 outside. */
  under(x, y) {
    const box = this.element.getBoundingClientRect();
    const column = Math.floor(((x - box.left) / box.width) * 8);
    const row = Math.floor(((y - box.top) / box.height) * 8);
    return column >= 0 && column < 8 && row >= 0 && row < 8 ? this.at(column, row) : -1;
  }

  /** A point of the window in the diagram's own measure. */
  point(x, y) {
    const box = this.element.getBoundingClientRect();
    return [((x - box.left) / box.width) * 800, ((y - box.top) / box.height) * 800];
  }

  /** Writes what each square is called and which can be lifted; only what changes is touched. */
  tell(words, own) {
    for (let square = 0; square < 64; square++) {
      const cell = this.cell(square);
      const said = words(square);
      if (cell.ariaLabel !== said) cell.ariaLabel = said;
      cell.classList.toggle("own", own(square));
      const name = nameOf(square);
      if (cell.dataset.square !== name) cell.dataset.square = name;
    }
    this.roam(this.focused);
  }

  /** The lifted square, to the ear too. */
  select(square) {
    for (const cell of this.element.querySelectorAll("[aria-selected]")) cell.removeAttribute("aria-selected");
    if (square >= 0) this.cell(square).ariaSelected = "true";
  }

  /** Makes a square the one that the tab key comes to. */
  roam(square) {
    for (const cell of this.cells) if (cell.tabIndex === 0) cell.tabIndex = -1;
    this.focused = square;
    this.cell(square).tabIndex = 0;
  }

  focus(square = this.focused) {
    this.roam(square);
    this.cell(square).focus();
  }

  /** The square that a key goes to from the focused one, -1 when it is no such key. */
  reached(key, control) {
    const place = this.cells.indexOf(this.cell(this.focused));
    const [column, row] = [place & 7, place >> 3];
    if (key === "Home") return this.at(0, control ? 0 : row);
    if (key === "End") return this.at(7, control ? 7 : row);
    const far = FAR[key];
    if (!far || control) return -1;
    const clamp = (n) => Math.min(7, Math.max(0, n));
    return this.at(clamp(column + far[0]), clamp(row + far[1]));
  }
}
