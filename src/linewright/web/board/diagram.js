/** The printed diagram as SVG: ground, hatching, frame, coordinates, men, last move's ticks, marks. No input. */

import { nameOf, squareOf } from "./position.js";
import { SHAPES } from "./shapes.js";

const SVG = "http://www.w3.org/2000/svg";
/** The picture's box: eight squares of 100, the frame, and below and left of it the coordinates. */
const BOX = "-58 -26 892 892";
const BARE_BOX = "-16 -16 832 832";
/** Distance of the hatching's lines along a square's side; small boards leave every other one out. */
const HATCH_GAP = 10;
/** Milliseconds that a man glides to its new square. */
const GLIDE = 140;

const TICK = "M6 24V6H24M76 6H94V24M94 76V94H76M24 94H6V76";
const HINT = "M50 38L62 50L50 62L38 50Z";
const SINGLE = {
  ring: "M50 7A43 43 0 1 1 50 93A43 43 0 1 1 50 7Z",
  dot: "M50 35A15 15 0 1 1 50 65A15 15 0 1 1 50 35Z",
  cross: "M22 22L78 78M78 22L22 78",
};

/** An SVG element with attributes and children. */
function drawn(name, attributes = {}, ...children) {
  const item = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) item.setAttribute(key, value);
  item.append(...children);
  return item;
}

/** Path data of the dark squares' hatching: the coarse lines, and those between them. */
function hatching() {
  const lines = [];
  for (let c = HATCH_GAP / 2; c < 200; c += HATCH_GAP) {
    lines.push(c <= 100 ? [0, c, c, 0] : [c - 100, 100, 100, c - 100]);
  }
  const path = (some) => {
    let d = "";
    for (let at = 0; at < 64; at++) {
      const [x, y] = [(at & 7) * 100, (at >> 3) * 100];
      if (((at & 7) + (at >> 3)) % 2) for (const [a, b, c, e] of some) d += `M${x + a} ${y + b}L${x + c} ${y + e}`;
    }
    return d;
  };
  return [path(lines.filter((_, i) => i % 2 === 0)), path(lines.filter((_, i) => i % 2 === 1))];
}

/** A man's drawing: a halo of the ground, the body, its inner lines. */
function shape(man) {
  const { body, inner, eye } = SHAPES[man.toLowerCase()];
  const group = drawn(
    "g",
    { class: `shape ${man < "a" ? "w" : "b"}` },
    drawn("path", { class: "halo", d: body }),
    drawn("path", { d: body }),
    drawn("path", { class: "inner", d: inner }),
  );
  if (eye) group.append(drawn("circle", { class: "eye", cx: eye[0], cy: eye[1], r: eye[2] }));
  return group;
}

/** A man alone, as a picture of its own. */
export function manPicture(man) {
  return drawn("svg", { viewBox: "0 0 100 100", "aria-hidden": "true" }, shape(man));
}

export class Diagram {
  constructor() {
    const [coarse, between] = hatching();
    this.names = drawn("g", { class: "co" });
    this.under = drawn("g", { class: "ticks" });
    this.lifted = drawn("g");
    this.men = drawn("g", { class: "men" });
    this.hints = drawn("g", { class: "hints" });
    this.over = drawn("g", { class: "marks" });
    this.svg = drawn(
      "svg",
      { viewBox: BOX, "aria-hidden": "true", focusable: "false" },
      drawn("path", { class: "ground", d: "M-14-14H814V814H-14Z" }),
      drawn("path", { class: "hatch", d: coarse }),
      drawn("path", { class: "hatch fine", d: between }),
      drawn("path", { class: "frame", d: "M-14-14H814V814H-14ZM-4-4H804V804H-4Z" }),
      ...[this.names, this.under, this.lifted, this.men, this.hints, this.over],
    );
    /** What stands where: square to its element and letter. @type {Map<number, {item: SVGElement, man: string}>} */
    this.shown = new Map();
    this.black = false;
    this.coordinates = true;
    this.write();
  }

  /** Shows Black's side below, or White's; whatever stands on the board is to be set again. */
  turn(black) {
    this.black = black;
    for (const [square, { item }] of this.shown) this.put(item, square);
    this.write();
  }

  /** With or without the coordinates outside the frame. */
  setCoordinates(on) {
    this.coordinates = on;
    this.svg.setAttribute("viewBox", on ? BOX : BARE_BOX);
  }

  /** A square's upper left corner. */
  spot(square) {
    const [file, rank] = [square & 7, square >> 3];
    return this.black ? [(7 - file) * 100, rank * 100] : [file * 100, (7 - rank) * 100];
  }

  /**
   * Puts men on the board; only squares that change are touched.
   *
   * @param {string[]} men 64 letters.
   * @param {boolean} glide a man that left a square for another goes there visibly.
   * @param {number} placed a square whose man already stands there (it was dragged), -1 for none.
   */
  set(men, glide = false, placed = -1) {
    const gone = [];
    for (const [square, { item, man }] of this.shown) {
      if (men[square] === man) continue;
      this.shown.delete(square);
      gone.push({ square, item, man });
    }
    for (let square = 0; square < 64; square++) {
      const man = men[square];
      if (!man || this.shown.has(square)) continue;
      const at = gone.findIndex((old) => old.man === man);
      const [old] = at >= 0 ? gone.splice(at, 1) : [];
      const item = old?.item ?? shape(man);
      this.put(item, square);
      this.shown.set(square, { item, man });
      if (old || !item.isConnected) this.men.append(item);
      if (old && glide && square !== placed) this.glide(item, old.square, square);
    }
    for (const { item } of gone) item.remove();
  }

  put(item, square) {
    const [x, y] = this.spot(square);
    item.setAttribute("transform", `translate(${x} ${y})`);
    item.dataset.square = nameOf(square);
  }

  glide(item, from, to) {
    const [[x1, y1], [x2, y2]] = [this.spot(from), this.spot(to)];
    item.animate([{ transform: `translate(${x1}px, ${y1}px)` }, { transform: `translate(${x2}px, ${y2}px)` }], {
      duration: GLIDE,
      easing: "ease-out",
    });
  }

  /** The man of a square drawn at a point of the picture, or back at its place. */
  drag(square, point) {
    const shown = this.shown.get(square);
    if (!shown) return;
    if (!point) return this.put(shown.item, square);
    this.men.append(shown.item);
    shown.item.setAttribute("transform", `translate(${point[0] - 50} ${point[1] - 50})`);
  }

  /** Corner ticks on squares: where the last move went from and to. */
  tick(squares) {
    this.under.replaceChildren(...squares.flatMap((square) => this.twice(TICK, square, "tick")));
  }

  /** The lifted man's square and where it may go. */
  lift(square, targets) {
    const frame = square < 0 ? [] : this.twice("M4 4H96V96H4Z", square, "lift");
    this.lifted.replaceChildren(...frame);
    this.hints.replaceChildren(...targets.map((to) => this.at(HINT, to, "hint")));
  }

  /** Marks, each first in the ground's colour. @param {import("./words.js").Mark[]} marks */
  mark(marks) {
    this.over.replaceChildren(...marks.flatMap((mark) => this.markItems(mark)));
  }

  markItems({ shape: kind, squares }) {
    if (kind !== "path") return squares.flatMap((name) => this.twice(SINGLE[kind], squareOf(name), `mark ${kind}`));
    return squares.slice(1).flatMap((name, i) => {
      const [shaft, head] = this.way(squareOf(squares[i]), squareOf(name));
      return [
        drawn("path", { class: "mark path halo", d: shaft + head }),
        drawn("path", { class: "mark path shaft", d: shaft }),
        drawn("path", { class: "mark path head", d: head }),
      ];
    });
  }

  /** Path data of a way between two squares, and of the open head at its end. */
  way(from, to) {
    const [[x1, y1], [x2, y2]] = [this.spot(from), this.spot(to)];
    const far = Math.hypot(x2 - x1, y2 - y1) || 1;
    const [ux, uy] = [(x2 - x1) / far, (y2 - y1) / far];
    const [ex, ey] = [x2 + 50 - ux * 8, y2 + 50 - uy * 8];
    const [bx, by] = [ex - ux * 26, ey - uy * 26];
    const head = `M${bx - uy * 18} ${by + ux * 18}L${ex} ${ey}L${bx + uy * 18} ${by - ux * 18}`;
    return [`M${x1 + 50} ${y1 + 50}L${ex} ${ey}`, head];
  }

  at(d, square, kind) {
    const [x, y] = this.spot(square);
    return drawn("path", { class: kind, d, transform: `translate(${x} ${y})` });
  }

  twice(d, square, kind) {
    return [this.at(d, square, `${kind} halo`), this.at(d, square, kind)];
  }

  write() {
    const names = [];
    for (let i = 0; i < 8; i++) {
      const k = this.black ? 7 - i : i;
      names.push(drawn("text", { x: i * 100 + 50, y: 857 }, "abcdefgh"[k]));
      names.push(drawn("text", { x: -37, y: i * 100 + 63 }, String(8 - k)));
    }
    this.names.replaceChildren(...names);
  }
}
