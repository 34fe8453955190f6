/** Both the page and the file were changed in the same place: the trainer chooses. */

import { make } from "./dom.js";

/**
 * The text as settled; null when the trainer leaves it for later.
 *
 * @param {import("./to_manuscript").TextConflict} message
 * @returns {Promise<string | null>}
 */
export function settleConflict(message) {
  return new Promise((resolve) => {
    const chosen = message.pieces.map(() => "mine");
    const pieces = message.pieces.map((piece, i) => {
      if (piece.both !== null) return make("span", {}, shortened(piece.both));
      const options = [
        ["mine", `yours here: “${piece.mine || "nothing"}”`],
        ["theirs", `on the disk: “${piece.theirs || "nothing"}”`],
        ["both", "both, one after the other"],
      ].map(([value, words]) => {
        const id = `c${i}-${value}`;
        const input = make("input", { type: "radio", name: `c${i}`, id, checked: value === "mine", onchange: () => (chosen[i] = value) });
        return make("p", {}, input, make("label", { for: id }, ` ${words}`));
      });
      return make("fieldset", {}, make("legend", {}, "Changed on both sides"), options);
    });
    const dialog = make("dialog", { class: "ask conflict", "aria-labelledby": "conflict-title" });
    const close = (value) => {
      dialog.close();
      dialog.remove();
      resolve(value);
    };
    const settled = () =>
      message.pieces
        .map((piece, i) =>
          piece.both !== null ? piece.both : chosen[i] === "both" ? piece.mine + piece.theirs : piece[chosen[i]],
        )
        .join("");
    dialog.append(
      make("h2", { id: "conflict-title" }, "The file was changed too"),
      make("p", {}, "Choose for each place; nothing is lost: both texts stay in the earlier versions."),
      make("div", { class: "pieces" }, pieces),
      make(
        "p",
        { class: "row" },
        make("button", { type: "button", onclick: () => close(settled()) }, "Settle"),
        make("button", { type: "button", onclick: () => close(null) }, "Later"),
      ),
    );
    dialog.addEventListener("cancel", () => close(null));
    document.body.append(dialog);
    dialog.showModal();
  });
}

/** Long stretches that agree are only hinted at. */
function shortened(text) {
  return text.length > 160 ? `${text.slice(0, 60)} … ${text.slice(-60)}` : text;
}
