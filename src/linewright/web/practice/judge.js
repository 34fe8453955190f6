/** Judging answers: pure, by what the drill holds. Needs `Linewright` (the board element's script) for notation. */

/**
 * A move answered: right (taught), equal (as good by games or engine), or wrong with what punishes it.
 *
 * @returns {{verdict: "right"|"equal"|"wrong", why: string, reply: string[], source: string}}
 */
export function judgeMove(drill, uci) {
  const fine = drill.moves.find((move) => move.uci === uci);
  if (fine) return { verdict: fine.standing === "taught" ? "right" : "equal", why: fine.why, reply: [], source: "" };
  const known = drill.wrong.find((move) => move.uci === uci);
  return { verdict: "wrong", why: known?.why ?? "", reply: known?.reply ?? [], source: known?.source ?? "" };
}

/** Squares answered; where whole files are asked for, any square of each file will do. */
export function judgeSquares(drill, squares) {
  const of = (names) => [...new Set(drill.whole_files ? names.map((name) => name[0]) : names)].sort().join(" ");
  return of(squares) === of(drill.squares);
}

/** The squares that a text names; null where it names anything else, or none. Files will do where files are asked. */
export function squaresOf(text, wholeFiles) {
  const parts = text.toLowerCase().replace(/\band\b|[,;]/g, " ").trim().split(/\s+/).filter(Boolean);
  const fits = wholeFiles ? /^[a-h][1-8]?$/ : /^[a-h][1-8]$/;
  if (!parts.length || !parts.every((part) => fits.test(part.replace(/-?file$/, "")))) return null;
  return parts.map((part) => part.replace(/-?file$/, "")).map((part) => (part.length === 1 ? `${part}4` : part));
}

/** Scores answers as the log has them: 1 wrong, 2 with a hint, 3 right. */
export function ratingOf(right, hinted) {
  return right ? (hinted ? 2 : 3) : 1;
}

/** Where two lines part: how many of their first moves are the same. */
export function shared(one, other) {
  let count = 0;
  while (count < Math.min(one.length, other.length) && one[count] === other[count]) count++;
  return count;
}
