/** What stands on the board, in words; and marks as values: `{shape, squares}` with names of squares. */

import { nameOf } from "./position.js";

/** @typedef {{shape: "ring"|"dot"|"cross"|"path", squares: string[]}} Mark */

/** A man in words: "white knight". */
export function manWords(man, labels) {
  return labels.man(man < "a" ? labels.white : labels.black, labels.pieces[man.toLowerCase()][0]);
}

/** A mark in words: "ring on e5", "path from f3 to e5". */
export function markWords(mark, labels) {
  return labels.marks[mark.shape](...mark.squares);
}

/** A square in words: "e5, black pawn, ring on e5". */
export function squareWords(position, square, marks, labels) {
  const name = nameOf(square);
  const man = position.men[square];
  const drawn = marks.filter((mark) => mark.squares.includes(name)).map((mark) => markWords(mark, labels));
  return [name, man ? manWords(man, labels) : labels.nothing, ...drawn].join(", ");
}

const order = (man) => "kqrbnp".indexOf(man.toLowerCase());

/** A whole board in words: the men by colour, and whose turn it is. */
export function boardWords(position, marks, labels) {
  const side = (white) =>
    [...position.men.keys()]
      .filter((square) => position.men[square] && position.men[square] < "a" === white)
      .sort((a, b) => order(position.men[a]) - order(position.men[b]))
      .map((square) => `${labels.pieces[position.men[square].toLowerCase()][0]} ${nameOf(square)}`)
      .join(", ");
  const drawn = marks.map((mark) => markWords(mark, labels));
  const sides = [`${labels.white}: ${side(true)}`, `${labels.black}: ${side(false)}`];
  return [...sides, labels.turn[position.turn], ...drawn].join("; ");
}

const same = (one, other) => one.shape === other.shape && one.squares.join() === other.squares.join();

/** The marks with one more, or without it where it was drawn already. @returns {[Mark[], boolean]} and "removed". */
export function toggled(marks, mark) {
  const others = marks.filter((other) => !same(other, mark));
  return others.length < marks.length ? [others, true] : [[...marks, mark], false];
}
