/**
 * A chess position: FEN in and out, every legal move, playing a move. Positions never change; `play` makes a new one.
 *
 * Squares are numbers: a1 is 0, b1 is 1, … h8 is 63; `nameOf` and `squareOf` go between these and names. Men are FEN's
 * letters (PGN standard 1994, section 16.1). Rules: FIDE Laws of Chess, articles 3.1-3.9 and 3.8.2 (castling).
 */

/** @typedef {{from: number, to: number, promotes: string}} Move  `promotes` is "q", "r", "b", "n" or "". */

export const START = "rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1";

const FILES = "abcdefgh";
const STRAIGHT = [[1, 0], [-1, 0], [0, 1], [0, -1]];
const SLANTED = [[1, 1], [1, -1], [-1, 1], [-1, -1]];
const LEAPS = [[1, 2], [2, 1], [2, -1], [1, -2], [-1, -2], [-2, -1], [-2, 1], [-1, 2]];
const ALL_WAYS = [...STRAIGHT, ...SLANTED];
const PROMOTIONS = ["q", "r", "b", "n"];

/** The square's name: 0 is "a1". */
export function nameOf(square) {
  return FILES[square & 7] + ((square >> 3) + 1);
}

/** The number of a square's name, -1 for what is none. */
export function squareOf(name) {
  const file = FILES.indexOf(name[0]);
  const rank = name.charCodeAt(1) - 49;
  return name.length === 2 && file >= 0 && rank >= 0 && rank < 8 ? rank * 8 + file : -1;
}

/** A move as UCI writes it: "e2e4", "e7e8q". */
export function uciOf(move) {
  return nameOf(move.from) + nameOf(move.to) + move.promotes;
}

/** The move that UCI writes so, legal or not. @returns {Move} */
export function fromUci(uci) {
  return { from: squareOf(uci.slice(0, 2)), to: squareOf(uci.slice(2, 4)), promotes: uci.slice(4) };
}

/** The squares met from each square: one list for each way of going. */
function walks(ways, far) {
  return Array.from({ length: 64 }, (_, square) =>
    ways.flatMap(([dx, dy]) => {
      const met = [];
      for (let n = 1; n <= far; n++) {
        const [file, rank] = [(square & 7) + n * dx, (square >> 3) + n * dy];
        if (file < 0 || file > 7 || rank < 0 || rank > 7) break;
        met.push(rank * 8 + file);
      }
      return met.length ? [met] : [];
    }),
  );
}

const WALKS = {
  n: walks(LEAPS, 1),
  b: walks(SLANTED, 7),
  r: walks(STRAIGHT, 7),
  q: walks(ALL_WAYS, 7),
  k: walks(ALL_WAYS, 1),
};
/** Where a pawn of each side takes from each square. */
const PAWN_TAKES = {
  w: walks([[-1, 1], [1, 1]], 1).map((lists) => lists.flat()),
  b: walks([[-1, -1], [1, -1]], 1).map((lists) => lists.flat()),
};
/** What castling needs: the right, king's and rook's way, squares that must be empty, and that must not be attacked. */
const CASTLINGS = [
  { right: "K", side: "w", from: 4, to: 6, rook: [7, 5], empty: [5, 6], safe: [4, 5, 6] },
  { right: "Q", side: "w", from: 4, to: 2, rook: [0, 3], empty: [1, 2, 3], safe: [4, 3, 2] },
  { right: "k", side: "b", from: 60, to: 62, rook: [63, 61], empty: [61, 62], safe: [60, 61, 62] },
  { right: "q", side: "b", from: 60, to: 58, rook: [56, 59], empty: [57, 58, 59], safe: [60, 59, 58] },
];

const isWhite = (man) => man < "a";
const sideOf = (man) => (isWhite(man) ? "w" : "b");
const ofSide = (kind, side) => (side === "w" ? kind.toUpperCase() : kind);

export class Position {
  /**
   * @param {string[]} men 64 letters, "" for an empty square.
   * @param {"w"|"b"} turn
   * @param {string} rights of castling, in the order "KQkq", "" for none.
   * @param {number} passing the square behind a pawn that has just gone two squares, -1 for none.
   */
  constructor(men, turn, rights, passing, halfmoves, number) {
    this.men = men;
    this.turn = turn;
    this.rights = rights;
    this.passing = passing;
    this.halfmoves = halfmoves;
    this.number = number;
    this._legal = null;
  }

  /**
   * The position of a FEN; missing fields after the placement are those of a game's start. Boards without kings are
   * taken too: they are drawn for teaching.
   *
   * @throws {RangeError} saying what is wrong.
   */
  static of(fen) {
    const [placement, turn = "w", rights = "-", passing = "-", halfmoves = "0", number = "1"] = fen.trim().split(/\s+/);
    const men = placed(placement);
    if (turn !== "w" && turn !== "b") throw new RangeError(`FEN: "${turn}" is neither w nor b`);
    if (!/^(-|[KQkq]{1,4})$/.test(rights)) throw new RangeError(`FEN: "${rights}" are no castling rights`);
    if (passing !== "-" && squareOf(passing) < 0) throw new RangeError(`FEN: "${passing}" is not a square`);
    if (!/^\d+$/.test(halfmoves) || !/^\d+$/.test(number)) throw new RangeError("FEN: the counters are no numbers");
    const kept = CASTLINGS.filter(
      (way) =>
        rights.includes(way.right) &&
        men[way.from] === ofSide("k", way.side) &&
        men[way.rook[0]] === ofSide("r", way.side),
    );
    const square = passing === "-" ? -1 : squareOf(passing);
    const named = kept.map((way) => way.right).join("");
    return new Position(men, turn, named, square, Number(halfmoves), Math.max(1, Number(number)));
  }

  /** The FEN; the square of taking in passing is named only where a pawn may take there. */
  get fen() {
    const taken = this.passing >= 0 && this.moves.some((move) => this.inPassing(move));
    const passing = taken ? nameOf(this.passing) : "-";
    return `${this.placement} ${this.turn} ${this.rights || "-"} ${passing} ${this.halfmoves} ${this.number}`;
  }

  /** The first field of the FEN. */
  get placement() {
    const rows = [];
    for (let rank = 7; rank >= 0; rank--) {
      let row = "";
      let empty = 0;
      for (const man of this.men.slice(rank * 8, rank * 8 + 8)) {
        if (man) row += (empty || "") + man;
        empty = man ? 0 : empty + 1;
      }
      rows.push(row + (empty || ""));
    }
    return rows.join("/");
  }

  /** Every legal move. @returns {readonly Move[]} */
  get moves() {
    this._legal ??= [...this.reaching()].filter((move) => !this.leavesCheck(move));
    return this._legal;
  }

  /** The legal moves from a square. */
  from(square) {
    return this.moves.filter((move) => move.from === square);
  }

  /** The legal move that UCI writes so, undefined for none. */
  byUci(uci) {
    return this.moves.find((move) => uciOf(move) === uci);
  }

  /** The side to move stands in check. */
  get check() {
    return this.inCheck(this.turn);
  }

  get checkmate() {
    return this.check && !this.moves.length;
  }

  get stalemate() {
    return !this.check && !this.moves.length;
  }

  /** The move takes a pawn in passing. */
  inPassing(move) {
    return move.to === this.passing && this.men[move.from].toLowerCase() === "p" && (move.from & 7) !== (move.to & 7);
  }

  /** The move takes something. */
  takes(move) {
    return this.men[move.to] !== "" || this.inPassing(move);
  }

  /** The castling that a king's move is, undefined when it is an ordinary one. */
  castling(move) {
    const king = this.men[move.from].toLowerCase() === "k";
    return king ? CASTLINGS.find((way) => way.from === move.from && way.to === move.to) : undefined;
  }

  /** The position after a move of this side, legal or not. */
  play(move) {
    const man = this.men[move.from];
    const pawn = man.toLowerCase() === "p";
    const far = pawn && Math.abs(move.to - move.from) === 16;
    const quiet = !pawn && !this.takes(move);
    return new Position(
      this.after(move),
      this.turn === "w" ? "b" : "w",
      [...this.rights].filter((right) => keeps(right, move)).join(""),
      far ? (move.from + move.to) >> 1 : -1,
      quiet ? this.halfmoves + 1 : 0,
      this.number + (this.turn === "b" ? 1 : 0),
    );
  }

  /** The same position with the other side to move. */
  passed() {
    return new Position(this.men, this.turn === "w" ? "b" : "w", this.rights, -1, this.halfmoves, this.number);
  }

  // -- helpers --------------------------------------------------------------------------------------------

  /** The men after a move. */
  after(move) {
    const men = this.men.slice();
    const castling = this.castling(move);
    if (this.inPassing(move)) men[(move.from & 56) | (move.to & 7)] = "";
    men[move.to] = move.promotes ? ofSide(move.promotes, this.turn) : men[move.from];
    men[move.from] = "";
    if (castling) {
      men[castling.rook[1]] = men[castling.rook[0]];
      men[castling.rook[0]] = "";
    }
    return men;
  }

  leavesCheck(move) {
    return new Position(this.after(move), this.turn, "", -1, 0, 1).inCheck(this.turn);
  }

  inCheck(side) {
    const king = this.men.indexOf(ofSide("k", side));
    return king >= 0 && this.attacked(king, side === "w" ? "b" : "w");
  }

  /** A square is attacked by a side. */
  attacked(square, by) {
    const other = by === "w" ? "b" : "w";
    if (PAWN_TAKES[other][square].some((at) => this.men[at] === ofSide("p", by))) return true;
    return ["n", "b", "r", "q", "k"].some((kind) =>
      WALKS[kind][square].some((way) => this.men[way.find((at) => this.men[at]) ?? way[0]] === ofSide(kind, by)),
    );
  }

  /** Moves as the men go, whether or not the king is left in check. */
  *reaching() {
    for (let from = 0; from < 64; from++) {
      const man = this.men[from];
      if (!man || sideOf(man) !== this.turn) continue;
      const kind = man.toLowerCase();
      if (kind === "p") yield* this.pawnMoves(from);
      else {
        for (const way of WALKS[kind][from]) {
          for (const to of way) {
            if (this.men[to] && sideOf(this.men[to]) === this.turn) break;
            yield { from, to, promotes: "" };
            if (this.men[to]) break;
          }
        }
      }
    }
    yield* this.castlings();
  }

  *pawnMoves(from) {
    const up = this.turn === "w" ? 8 : -8;
    const rank = from >> 3;
    const targets = [];
    const one = from + up;
    if (one >= 0 && one < 64 && !this.men[one]) {
      targets.push(one);
      if (rank === (this.turn === "w" ? 1 : 6) && !this.men[one + up]) targets.push(one + up);
    }
    for (const to of PAWN_TAKES[this.turn][from]) {
      const taken = this.men[to] ? sideOf(this.men[to]) !== this.turn : to === this.passing && this.passingPawn(to);
      if (taken) targets.push(to);
    }
    for (const to of targets) {
      for (const promotes of to > 55 || to < 8 ? PROMOTIONS : [""]) yield { from, to, promotes };
    }
  }

  /** A pawn stands where taking in passing to this square would take it. */
  passingPawn(to) {
    const [rank, behind, man] = this.turn === "w" ? [5, to - 8, "p"] : [2, to + 8, "P"];
    return to >> 3 === rank && this.men[behind] === man;
  }

  *castlings() {
    const other = this.turn === "w" ? "b" : "w";
    for (const { right, side, from, to, empty, safe } of CASTLINGS) {
      if (side !== this.turn || !this.rights.includes(right)) continue;
      if (empty.some((square) => this.men[square])) continue;
      if (safe.some((square) => this.attacked(square, other))) continue;
      yield { from, to, promotes: "" };
    }
  }
}

/** A castling right outlives a move that touches neither its king's nor its rook's square. */
function keeps(right, move) {
  const squares = CASTLINGS.filter((way) => way.right === right).flatMap((way) => [way.from, way.rook[0]]);
  return !squares.some((square) => square === move.from || square === move.to);
}

function placed(placement) {
  const rows = placement.split("/");
  if (rows.length !== 8) throw new RangeError(`FEN: "${placement}" has ${rows.length} rows, not 8`);
  const men = Array(64).fill("");
  rows.forEach((row, down) => {
    let file = 0;
    for (const sign of row) {
      if (sign >= "1" && sign <= "8") file += Number(sign);
      else if (/[pnbrqkPNBRQK]/.test(sign)) men[(7 - down) * 8 + Math.min(file++, 7)] = sign;
      else throw new RangeError(`FEN: "${sign}" is not a piece`);
    }
    if (file !== 8) throw new RangeError(`FEN: row "${row}" has ${file} squares, not 8`);
  });
  return men;
}
