/** The evidence card: what games and engine say of the position on the board. */

import { draw, make, percent } from "./dom.js";

/** An expected score with its uncertainty: a dot with a whisker on a scale from 0 to 100 %. */
export function whisker(reply) {
  const x = (part) => 4 + 92 * part;
  return draw(
    "svg",
    { class: "whisker", viewBox: "0 0 100 14", "aria-hidden": "true" },
    draw("path", { class: "scale", d: "M4 7H96M4 3V11M96 3V11M50 4V10" }),
    draw("path", { class: "span", d: `M${x(reply.low)} 7H${x(reply.high)}` }),
    draw("circle", { class: "score", cx: x(reply.score), cy: 7, r: 3.4 }),
  );
}

/** The signs that few fonts have, as lines: plus over equals, and equals over plus. */
const DRAWN = {
  "⩲": "M5 1V7M2 4H8M2 10H8M2 13H8",
  "⩱": "M2 1H8M2 4H8M5 7V13M2 10H8",
};

/** A sign of the trade, as text or, where fonts lack it, drawn; its words always stand beside it. */
function signOf(symbol) {
  const lines = DRAWN[symbol];
  if (!lines) return make("b", { class: "sign", "aria-hidden": "true" }, symbol);
  return draw("svg", { class: "sign", viewBox: "0 0 10 14", "aria-hidden": "true" }, draw("path", { d: lines }));
}

export class EvidenceCard {
  /**
   * @param {HTMLElement} card
   * @param {{play: (ucis: string[]) => void, source: (words: string) => void}} host
   */
  constructor(card, host) {
    this.host = host;
    this.fen = "";
    /** Games are shown at once; folded until the trainer wants them, so that the notes can stand by their sentences. */
    this.unfolded = false;
    this.head = make("h2", {});
    this.opening = make("p", { class: "opening" });
    this.replies = make("div", { class: "replies" });
    this.engine = make("div", { class: "engine" });
    this.models = make("div", { class: "models" });
    card.replaceChildren(this.head, this.opening, this.replies, this.engine, this.models);
  }

  /** Another position is on the board: what was said of the last one goes. */
  begin(fen, title) {
    this.fen = fen;
    this.head.textContent = title;
    for (const part of [this.replies, this.engine, this.models]) part.replaceChildren();
    this.opening.textContent = "";
  }

  showReplies(/** @type {import("./to_manuscript").Replies} */ message) {
    if (message.fen !== this.fen) return;
    this.opening.textContent = message.opening;
    if (message.trouble) {
      this.replies.replaceChildren(make("p", { class: "soft" }, message.trouble));
      return;
    }
    if (!message.total) {
      this.replies.replaceChildren(make("p", { class: "soft" }, "No game in the base went on from here."));
      return;
    }
    const rows = message.replies.map((reply, i) => this.row(reply, i, message.turn));
    const more = message.more ? `, ${message.more} more replies` : "";
    this.replies.replaceChildren(
      make("table", {}, make("caption", {}, `${message.total.toLocaleString("en")} games went on from here${more}`), rows),
      make("p", { class: "scale-words", "aria-hidden": "true" }, `score of ${message.turn}, 0 to 100 %`),
      ...(message.note ? [make("p", { class: "soft" }, message.note)] : []),
    );
  }

  row(reply, number, turn) {
    const score = reply.scored
      ? `${turn} scores ${percent(reply.score)}, likely between ${percent(reply.low)} and ${percent(reply.high)}`
      : "no result known";
    const year = reply.year ? `, last in ${reply.year}` : "";
    const said = `${reply.ear}: ${percent(reply.share)} of games, ${reply.games}; ${score}${year}`;
    return make(
      "tr",
      {},
      make(
        "th",
        { scope: "row" },
        make(
          "button",
          {
            type: "button",
            title: `${said}. Write it into the manuscript${number < 9 ? ` (Alt+${number + 1})` : ""}`,
            "aria-label": `${said}. Write it into the manuscript`,
            onclick: () => this.host.play([reply.uci]),
          },
          reply.fig,
        ),
      ),
      make("td", { class: "share" }, percent(reply.share)),
      make("td", { class: "count" }, reply.games.toLocaleString("en")),
      make("td", { class: "dots" }, reply.scored ? whisker(reply) : "–"),
    );
  }

  /** The reply of a number, counted from 0, is written as if its button were pressed. */
  press(number) {
    this.replies.querySelectorAll("button")[number]?.click();
  }

  showModels(/** @type {import("./to_manuscript").Models} */ message) {
    if (message.fen !== this.fen) return;
    const cards = message.models.map((game) =>
      make(
        "li",
        {},
        make("p", { class: "who" }, `${game.heading}  ${game.result}`),
        make("p", { class: "line" }, game.line),
        make("p", { class: "why" }, game.why),
        make(
          "p",
          { class: "row" },
          make(
            "button",
            {
              type: "button",
              "aria-label": `Write the moves of ${game.heading}`,
              onclick: () => this.host.play(game.moves),
            },
            "write its moves",
          ),
          make(
            "button",
            {
              type: "button",
              "aria-label": `Write the source, ${game.heading}`,
              onclick: () => this.host.source(game.heading),
            },
            "write its source",
          ),
        ),
      ),
    );
    const heading = `Games worth showing (${cards.length})`;
    const shown = make("details", { open: this.unfolded }, make("summary", {}, heading), make("ul", {}, cards));
    shown.addEventListener("toggle", () => (this.unfolded = shown.open));
    this.models.replaceChildren(...(cards.length ? [shown] : []));
  }

  showEngine(/** @type {import("./to_manuscript").EngineLook} */ message) {
    if (message.fen !== this.fen) return;
    if (message.trouble) {
      this.engine.replaceChildren(make("p", { class: "soft" }, message.trouble));
      return;
    }
    this.engine.replaceChildren(
      make("p", {}, signOf(message.sign), ` ${message.words}`),
      make("p", { class: "why" }, message.evidence),
      make(
        "ul",
        {},
        message.lines.map((line) => make("li", {}, make("b", {}, line.score), ` ${line.line}`)),
      ),
    );
  }
}
