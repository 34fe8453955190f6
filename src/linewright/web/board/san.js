/**
 * Moves as they are written and said: SAN out (PGN standard 1994, 8.2.3), and in from SAN, long notation, UCI,
 * figurines, other languages' letters and words.
 */

import { ENGLISH } from "./labels.js";
import { nameOf, squareOf } from "./position.js";

/**
 * The move that was meant; or why it can't be said, and the moves (SAN) that it could be.
 *
 * @typedef {{move?: import("./position.js").Move, why?: "illegal"|"ambiguous"|"unread", moves?: string[]}} Answer
 */

const FIGURINES = { "♔": "K", "♕": "Q", "♖": "R", "♗": "B", "♘": "N", "♚": "K", "♛": "Q", "♜": "R", "♝": "B", "♞": "N" };
const WRITTEN = /^(?<piece>[KQRBNP])?(?<file>[a-h])?(?<rank>[1-8])?[-x:]?(?<to>[a-h][1-8])=?(?<promotes>[QRBN])?$/;

/** A legal move in SAN. */
export function toSan(position, move) {
  const after = position.play(move);
  const sign = after.check ? (after.moves.length ? "+" : "#") : "";
  if (position.castling(move)) return (move.to > move.from ? "O-O" : "O-O-O") + sign;
  const kind = position.men[move.from].toLowerCase();
  const takes = position.takes(move) ? "x" : "";
  const to = nameOf(move.to);
  if (kind !== "p") return kind.toUpperCase() + apart(position, move) + takes + to + sign;
  const from = takes ? nameOf(move.from)[0] : "";
  return from + takes + to + (move.promotes ? `=${move.promotes.toUpperCase()}` : "") + sign;
}

/** What tells a piece's move from those of its like to the same square: file, else rank, else both. */
function apart(position, move) {
  const man = position.men[move.from];
  const others = position.moves.filter(
    (other) => other.to === move.to && other.from !== move.from && position.men[other.from] === man,
  );
  if (!others.length) return "";
  const [file, rank] = nameOf(move.from);
  if (others.every((other) => nameOf(other.from)[0] !== file)) return file;
  if (others.every((other) => nameOf(other.from)[1] !== rank)) return rank;
  return file + rank;
}

/**
 * The move that a text writes or says: "Nf3", "Ng1-f3", "g1f3", "♘f3", "0-0", "e8Q", "knight f three", "castles long".
 *
 * @returns {Answer} what was meant, or why it can't be said: several moves fit, none does, or it is no move.
 */
export function moveOf(position, text, labels = ENGLISH) {
  /** @type {Answer} */
  let best = { why: "unread", moves: [] };
  for (const written of readings(text, labels)) {
    const answer = writtenMove(position, written);
    if (answer.move) return answer;
    if (best.why === "unread" || answer.why === "ambiguous") best = answer;
  }
  return best;
}

/** The ways a text may be meant, the likeliest first; a small b is a pawn's file before it is a bishop. */
function* readings(text, labels) {
  const bare = [...text.trim()]
    .map((sign) => FIGURINES[sign] ?? sign)
    .join("")
    .replace(/^\d+\s*(\.+|…)\s*/, "")
    .replace(/\s*(e\.?p\.?)?\s*[+#!?□]*$/u, "")
    .replace(/\s*(?:=|\/)\s*/, "=");
  const own = Object.entries(labels.letters).find(([, letter]) => bare.startsWith(letter));
  const rest = own ? bare.slice(own[1].length) : bare;
  const ends = Object.entries(labels.letters).find(
    ([, letter]) => bare.endsWith(letter) && /[18]=?$/.test(bare.slice(0, -letter.length)),
  );
  if (own) yield own[0].toUpperCase() + rest;
  if (ends) yield bare.slice(0, -ends[1].length) + ends[0].toUpperCase();
  yield bare;
  if (/^[kqrbn]/.test(bare)) yield bare[0].toUpperCase() + bare.slice(1);
  if (/[18]=?[qrbn]$/.test(bare)) yield bare.slice(0, -1) + bare.slice(-1).toUpperCase();
  const said = fromWords(text, labels);
  if (said) yield said;
}

/** @returns {Answer} */
function writtenMove(position, text) {
  const castles = /^([0Oo])-?\1(-?\1)?$/.exec(text);
  const form = WRITTEN.exec(text)?.groups;
  if (!castles && !form) return { why: "unread", moves: [] };
  const fitting = position.moves.filter((move) => {
    if (castles) return position.castling(move) && move.to > move.from === !castles[2];
    return form && fits(position, move, form, /[x:]/.test(text));
  });
  if (fitting.length === 1) return { move: fitting[0] };
  return { why: fitting.length ? "ambiguous" : "illegal", moves: fitting.map((move) => toSan(position, move)) };
}

/**
 * A move agrees with all that was written; a bare square means a pawn, two squares any man, as UCI writes.
 *
 * @param {Record<string, string>} written
 */
function fits(position, move, written, takes) {
  const { piece, file, rank, to, promotes } = written;
  const kind = position.men[move.from].toUpperCase();
  const from = nameOf(move.from);
  if (move.to !== squareOf(to)) return false;
  if (piece ? kind !== piece : kind !== "P" && !(file && rank)) return false;
  if ((file && from[0] !== file) || (rank && from[1] !== rank)) return false;
  if (takes && !position.takes(move)) return false;
  if (kind === "P" && !piece && !file && position.takes(move)) return false;
  return !promotes || move.promotes === promotes.toLowerCase();
}

/** Said words as a written move, "" where they are none: "knight takes d four" is "Nxd4". */
export function fromWords(text, labels = ENGLISH) {
  const parted = text.toLowerCase().replace(/[.,;:!?]/g, " ").replace(/([a-h])\s*([1-8])/g, " $1 $2 ");
  let said = ` ${parted} `.replace(/\s+/g, " ");
  const has = (words) => words.some((word) => said.includes(` ${word.toLowerCase()} `));
  const swap = (words, sign) => {
    const longest = words.map((word) => word.toLowerCase()).sort((a, b) => b.length - a.length);
    for (const word of longest) said = said.replaceAll(` ${word} `, ` ${sign} `);
  };
  swap(labels.promotes, "=");
  if (has(labels.castles)) return has(labels.queenside) ? "O-O-O" : "O-O";
  swap(labels.takes, "x");
  for (const [kind, names] of Object.entries(labels.pieces)) swap(names, kind.toUpperCase());
  for (const [index, word] of labels.numbers.entries()) swap([word], String(index + 1));
  swap(labels.empty_words, "");
  const written = said.replace(/\s+/g, "").replace(/=?([QRBN])$/, "=$1");
  return WRITTEN.test(written.replace(/^P/, "")) || WRITTEN.test(written) ? written : "";
}

/** A move in SAN as a trainer says it: "Qxh7+" is "queen takes h7, check". Other text comes back as it is. */
export function inWords(san, labels = ENGLISH) {
  const [bare, sign] = [san.replace(/[+#]$/, ""), /[+#]$/.exec(san)?.[0]];
  const check = sign ? `, ${sign === "#" ? labels.checkmate[0] : labels.check}` : "";
  if (bare === "O-O" || bare === "O-O-O") {
    return `${labels.castles[0]} ${(bare === "O-O" ? labels.kingside : labels.queenside)[0]}${check}`;
  }
  const form = WRITTEN.exec(bare)?.groups;
  if (!form) return san;
  const { piece, file, rank, to, promotes } = form;
  const named = piece && labels.pieces[piece.toLowerCase()][0];
  const words = [named, file, rank, bare.includes("x") && labels.takes[0], to].filter(Boolean).join(" ");
  const raised = promotes ? `, ${labels.promotes[0]} ${labels.pieces[promotes.toLowerCase()][0]}` : "";
  return words + raised + check;
}

/** SAN with figurines in place of piece letters. */
export function figurine(san) {
  return san.replace(/[KQRBN]/g, (letter) => "♔♕♖♗♘"["KQRBN".indexOf(letter)]);
}

/** A move with its number as books print it: "4.Nxd4", "4...Qh4". */
export function numbered(position, san) {
  return `${position.number}${position.turn === "w" ? "." : "..."}${san}`;
}

