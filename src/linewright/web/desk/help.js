/** What the desk's keys do. */

import { ask, make } from "./dom.js";

export function help() {
  const keys = [
    ["Alt ↑ ↓", "to the move before and after"],
    ["F2", "to the board, and back"],
    ["Alt 1 … 7", "write that reply of the margin"],
    ["Alt D", "the next doubtful place"],
    ["Alt Q", "which game do these words quote?"],
    ["Alt R", "dictate, and stop"],
    ["Ctrl S", "save now (it is saved by itself)"],
    ["Ctrl Z", "undo"],
    ["on the board", "arrows go over the squares, Enter lifts and drops; letters type a move; 1 ring, 2 dot, 3 cross, 4 path"],
  ];
  ask("Keys", make("table", { class: "keys" }, keys.map(([key, what]) => make("tr", {}, make("th", { scope: "row" }, key), make("td", {}, what)))), [["", "Close"]]);
}
