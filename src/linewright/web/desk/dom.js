/** Small helpers for building pages; text is always text, never markup. */

const SVG = "http://www.w3.org/2000/svg";

/** An element with attributes and children; `on…` attributes are listeners, null and false ones are left out. */
export function make(name, attributes = {}, ...children) {
  return filled(document.createElement(name), attributes, children);
}

/** As `make`, for drawings. */
export function draw(name, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, name), attributes, children);
}

function filled(element, attributes, children) {
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else element.setAttribute(key, value === true ? "" : String(value));
  }
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/**
 * The element of an id; of whatever kind the page's template makes it.
 *
 * @returns {any}
 */
export const byId = (id) => document.getElementById(id);

/**
 * The one element of a selector; of whatever kind the page's template makes it.
 *
 * @returns {any}
 */
export const only = (selector) => document.querySelector(selector);

/** The talk that the page is about: its name in the folder. */
export const talkName = () => document.body.dataset.talk ?? "";

/** A part as whole per cent: "7 %", "<1 %". */
export function percent(part) {
  return part > 0 && part < 0.005 ? "<1 %" : `${Math.round(part * 100)} %`;
}

/** Open a dialog with this content and a closing button; the value of the button that closed it. */
export function ask(title, content, buttons) {
  return new Promise((resolve) => {
    const dialog = make("dialog", { class: "ask", "aria-labelledby": "ask-title" });
    const row = buttons.map(([value, words]) =>
      make("button", { type: "button", value, onclick: () => dialog.close(value) }, words),
    );
    dialog.append(make("h2", { id: "ask-title" }, title), content, make("p", { class: "row" }, row));
    dialog.addEventListener("close", () => {
      dialog.remove();
      resolve(dialog.returnValue);
    });
    document.body.append(dialog);
    dialog.showModal();
  });
}
