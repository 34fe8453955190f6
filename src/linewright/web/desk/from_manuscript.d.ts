// Made by tools/script_types.py from linewright.desk.messages.from_manuscript: change that, then run it.

export interface ReadText {
  do: "text";
  serial: number;
  text: string;
}

export interface SaveText {
  do: "save";
  serial: number;
  text: string;
  base: string;
}

export interface ShowEvidence {
  do: "evidence";
  fen: string;
  side?: string;
}

export interface FindQuote {
  do: "quote";
  words: string;
}

export interface SettlePlace {
  do: "ask";
  first: number;
  answer?: any;
}

export interface SpellMoves {
  do: "spell";
  fen: string;
  moves: string[];
}

export interface CheckText {
  do: "check";
}

export interface CorrectPhrase {
  do: "correct";
  number: number;
  words: string;
  fen: string;
}

export type FromManuscript = ReadText | SaveText | ShowEvidence | FindQuote | SettlePlace | SpellMoves | CheckText | CorrectPhrase;
