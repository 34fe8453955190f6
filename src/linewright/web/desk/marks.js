/**
 * The light marks in a talk's text: which stand where, and the edit that adds or takes away one.
 *
 * @typedef {{shape: string, squares: string[]}} Mark  shape ring, dot, cross (one square) or path (two).
 * @typedef {{from: number, to: number, insert: string}} Change
 */

const MARK = /\{\s*(ring|dot|cross|path)\s*[:\s]\s*([^{}]*)\}/gi;

/** The marks in a stretch of text, each with the braces that hold it. */
export function marksIn(text, from, to) {
  const found = [];
  MARK.lastIndex = 0;
  for (const match of text.slice(from, to).matchAll(MARK)) {
    const items = match[2].trim().split(/[\s,]+/).filter(Boolean).map((item) => item.toLowerCase());
    found.push({ shape: match[1].toLowerCase(), items, from: from + match.index, to: from + match.index + match[0].length });
  }
  return found;
}

/** How a mark is written in the braces: "e5", "f3-e5". */
export function written(mark) {
  return mark.squares.join("-");
}

/**
 * The change that adds a mark to a moment of the talk, or takes it away when it is there.
 *
 * @param {string} text
 * @param {number} from  where the moment begins: after the words of its move.
 * @param {number} to  where the next move's words begin.
 * @param {number} cursor  the sentence that the mark belongs to.
 * @param {Mark} mark
 * @returns {Change}
 */
export function toggled(text, from, to, cursor, mark) {
  const there = marksIn(text, from, to).filter((held) => held.shape === mark.shape);
  const item = written(mark);
  const holding = there.find((held) => held.items.includes(item));
  if (holding) {
    const rest = holding.items.filter((other) => other !== item);
    if (rest.length) return { from: holding.from, to: holding.to, insert: braces(mark.shape, rest) };
    const space = text[holding.from - 1] === " " ? 1 : 0;
    return { from: holding.from - space, to: holding.to, insert: "" };
  }
  const last = there.at(-1);
  if (last) return { from: last.from, to: last.to, insert: braces(mark.shape, [...last.items, item]) };
  const at = place(text, from, to, cursor);
  return { from: at, to: at, insert: ` ${braces(mark.shape, [item])}` };
}

/** The change that takes all marks of a moment away; null when there are none. */
export function cleared(text, from, to) {
  const there = marksIn(text, from, to);
  if (!there.length) return null;
  const first = there[0].from - (text[there[0].from - 1] === " " ? 1 : 0);
  const end = there[there.length - 1].to;
  let kept = "";
  let at = first;
  for (const held of there) {
    kept += text.slice(at, held.from - (text[held.from - 1] === " " ? 1 : 0));
    at = held.to;
  }
  return { from: first, to: end, insert: kept };
}

function braces(shape, items) {
  return `{${shape}: ${items.join(" ")}}`;
}

/** Where a new mark goes: after the cursor's sentence, if that ends before the next move; else after the move. */
function place(text, from, to, cursor) {
  const begin = Math.min(Math.max(from, cursor), to);
  const ending = /[.!?…]["”’)]*(?=\s|$)|\n|$/g;
  ending.lastIndex = begin > from && /[.!?…]/.test(text[begin - 1]) ? begin - 1 : begin;
  const found = ending.exec(text);
  const end = found ? found.index + (found[0] === "\n" ? 0 : found[0].length) : text.length;
  if (end <= to) return end;
  const sign = /^[.,;:!?…"”’)]*/.exec(text.slice(from, to));
  return from + (sign ? sign[0].length : 0);
}
