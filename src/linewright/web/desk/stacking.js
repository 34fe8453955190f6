/**
 * How the margin is filled: each note as near to its sentence as may be, and the evidence where it moves them least.
 *
 * @typedef {{wanted: number, height: number, weight?: number}} Row  pixels from the margin's top; a row's weight says
 *   how much a pixel away from its place counts, 1 unless given.
 */

/** Pixels between two rows. */
export const APART = 10;
/**
 * How much a pixel counts that the evidence is away from its sentence. A note is read with its sentence, the evidence
 * says itself which move it belongs to, and is much taller: better it gives way.
 */
const EVIDENCE = 0.1;
/** Pixels from the cursor's line at which a note counts half as much as there: what is being read stands right. */
const NEAR = 150;
/** Pixels that the evidence may be away: it stays on the screen with the words that it belongs to. */
const FARTHEST = 320;
/** Places among the notes, before and after its own, that are tried for the evidence. */
const TRIED = 6;

/**
 * The tops of rows in their order, so that none overlap and the sum of the weighted squares of their distances from
 * where they want to be is least (isotonic regression by pooling neighbours; Ayer et al., 1955).
 *
 * @param {Row[]} rows
 * @returns {number[]}
 */
export function stacked(rows) {
  /** @type {{sum: number, weight: number, count: number}[]} */
  const pools = [];
  let above = 0;
  for (const row of rows) {
    const weight = row.weight ?? 1;
    let pool = { sum: (row.wanted - above) * weight, weight, count: 1 };
    for (let last = pools.at(-1); last && last.sum / last.weight > pool.sum / pool.weight; last = pools.at(-1)) {
      pools.pop();
      pool = { sum: last.sum + pool.sum, weight: last.weight + pool.weight, count: last.count + pool.count };
    }
    pools.push(pool);
    above += row.height + APART;
  }
  const starts = pools.flatMap((pool) => Array(pool.count).fill(Math.max(0, pool.sum / pool.weight)));
  above = 0;
  return rows.map((row, i) => {
    const top = starts[i] + above;
    above += row.height + APART;
    return Math.round(top);
  });
}

/**
 * The tops of notes and of the evidence among them.
 *
 * @param {Row[]} given  the notes, by their places in the text.
 * @param {Row} card  the evidence, which wants to be at the cursor's line.
 * @returns {{notes: number[], card: number}}
 */
export function filled(given, card) {
  const notes = given.map((note) => ({ ...note, weight: 1 / (1 + ((note.wanted - card.wanted) / NEAR) ** 2) }));
  const own = notes.filter((note) => note.wanted <= card.wanted).length;
  let best = { notes: /** @type {number[]} */ ([]), card: card.wanted, cost: Infinity };
  for (let at = Math.max(0, own - TRIED); at <= Math.min(notes.length, own + TRIED); at += 1) {
    const tops = stacked([...notes.slice(0, at), { ...card, weight: EVIDENCE }, ...notes.slice(at)]);
    const [top] = tops.splice(at, 1);
    const away = Math.abs(top - card.wanted);
    const moved = notes.reduce((sum, note, i) => sum + note.weight * (tops[i] - note.wanted) ** 2, 0);
    const cost = moved + EVIDENCE * away ** 2 + (away > FARTHEST ? 1e9 : 0) + Math.abs(at - own) * 0.001;
    if (cost < best.cost) best = { notes: tops, card: top, cost };
  }
  return { notes: best.notes, card: best.card };
}
