/**
 * The words that the board says and understands. A host gives a table of the same shape for another language; where
 * English has a function a pattern will do, so that the table may be JSON: "ring on {0}" for `(square) => …`.
 *
 * @typedef {typeof ENGLISH} Labels
 */

export const ENGLISH = {
  /** Lower case keys are the pieces' kinds; the first name is the one said, all are understood. */
  pieces: {
    k: ["king"],
    q: ["queen"],
    r: ["rook"],
    b: ["bishop"],
    n: ["knight", "night"],
    p: ["pawn"],
  },
  /** Letters of written moves, in place of K, Q, R, B and N. */
  letters: { k: "K", q: "Q", r: "R", b: "B", n: "N" },
  white: "white",
  black: "black",
  /** Order of a man's colour and name. */
  man: (colour, piece) => `${colour} ${piece}`,
  takes: ["takes", "captures", "takes on", "x"],
  check: "check",
  checkmate: ["checkmate", "mate"],
  castles: ["castles", "castle", "castling"],
  kingside: ["kingside", "king side", "short"],
  queenside: ["queenside", "queen side", "long"],
  promotes: ["promotes to a", "promotes to", "promoting to a", "becomes a", "equals"],
  numbers: ["one", "two", "three", "four", "five", "six", "seven", "eight"],
  /** Said or not, it changes nothing. */
  empty_words: ["to", "on", "the", "and", "goes", "moves", "check", "checkmate", "mate"],
  board: "Board",
  nothing: "empty",
  lifted: (man, square) => `${man} on ${square} lifted`,
  put_back: "put back",
  promote: "Promote to",
  turn: { w: "White to move", b: "Black to move" },
  marks: {
    ring: (square) => `ring on ${square}`,
    dot: (square) => `dot on ${square}`,
    cross: (square) => `cross on ${square}`,
    path: (from, to) => `path from ${from} to ${to}`,
  },
  removed: (mark) => `${mark} removed`,
  path_begun: (square) => `path from ${square}: go to its end and press 4 or Enter`,
  entry: "Type a move",
  illegal: (text) => `${text} can’t be played here`,
  ambiguous: (text, moves) => `${text} could be ${moves.join(" or ")}`,
  unread: (text) => `${text} is not a move`,
  keys:
    "Arrow keys go over the squares, Enter lifts and drops a piece, Escape puts it back, letters type a move; " +
    "1 ring, 2 dot, 3 cross, 4 path, Delete takes marks away.",
};

/** A function that puts what it is given into a pattern's {0}, {1}. */
const filled = (pattern) => (...parts) => pattern.replace(/\{(\d)\}/g, (_, at) => parts[at]);
const isTable = (value) => typeof value === "object" && !Array.isArray(value);

/**
 * A host's words over the English ones; what is left out stays English.
 *
 * @param {object} words
 * @param {any} english
 * @returns {any} of `english`'s shape.
 */
export function labelsOf(words, english = ENGLISH) {
  const labels = { ...english };
  for (const [key, own] of Object.entries(words)) {
    if (isTable(own) && isTable(english[key])) labels[key] = labelsOf(own, english[key]);
    else labels[key] = typeof english[key] === "function" && typeof own === "string" ? filled(own) : own;
  }
  return labels;
}
