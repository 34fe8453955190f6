/** The opening map: where the talk has been, and what pupils will meet that it leaves out. */

import { draw, make, percent } from "./dom.js";

export class OpeningMap {
  /**
   * @param {HTMLElement} place
   * @param {{step: (step: number | null) => void, gap: (gap: any) => void}} host
   */
  constructor(place, host) {
    this.host = host;
    this.sheet = make("div", { class: "mapsheet" });
    this.left = make("div", { class: "gaps" });
    place.append(this.sheet, this.left);
    this.dots = [];
  }

  show(/** @type {import("./to_manuscript").MapDrawn} */ map) {
    const svg = draw("svg", { class: "map", viewBox: `0 0 ${map.width} ${map.height}`, "aria-hidden": "true" });
    svg.append(draw("path", { class: "rail", d: map.rails }));
    this.dots = map.dots;
    for (const dot of map.dots) {
      svg.append(
        draw("circle", {
          class: dot.fork ? "fork" : dot.end ? "end" : null,
          cx: dot.x,
          cy: dot.y,
          r: dot.fork ? 4.6 : 3,
          onclick: () => this.host.step(dot.step),
        }),
      );
    }
    for (const label of map.labels) {
      svg.append(draw("text", { class: "lab", x: label.x - 3, y: label.y - 8, onclick: () => this.host.step(label.step) }, label.fig));
    }
    this.here = draw("circle", { class: "here", r: 6.5 });
    svg.append(this.here);
    this.sheet.replaceChildren(svg);
    this.mark(this.fen);
    this.showGaps(map.gaps);
  }

  showGaps(gaps) {
    if (!gaps.length) {
      this.left.replaceChildren();
      return;
    }
    this.left.replaceChildren(
      make("h2", {}, "Pupils will meet, not in the talk yet"),
      make(
        "ul",
        {},
        gaps.map((gap) =>
          make(
            "li",
            {},
            make(
              "button",
              {
                type: "button",
                "aria-label": `${gap.ear}, met in ${percent(gap.met)} of games; go to the place that it leaves from`,
                onclick: () => this.host.gap(gap),
              },
              gap.fig,
            ),
            ` ${percent(gap.met)}`,
          ),
        ),
      ),
    );
  }

  /** Mark the position on the board. */
  mark(fen) {
    this.fen = fen;
    if (!this.here) return;
    const key = fen?.split(" ").slice(0, 4).join(" ");
    const dot = this.dots.find((d) => d.fen.split(" ").slice(0, 4).join(" ") === key);
    if (dot) {
      this.here.setAttribute("cx", dot.x);
      this.here.setAttribute("cy", dot.y);
    }
    this.here.classList.toggle("away", !dot);
  }
}
