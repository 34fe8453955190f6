/**
 * The board's looks: an old printed diagram. Hosts colour it by the custom properties --plate, --plate-ink,
 * --white-man and the marks' --lw-ring, --lw-dot, --lw-cross, --lw-path (Okabe & Ito, "Color Universal Design", 2008).
 */

const STYLE = `
:host { display: block; position: relative; aspect-ratio: 1; container-type: inline-size;
  --_plate: var(--plate, #fdfaf0); --_ink: var(--plate-ink, #1d1a16); --_white: var(--white-man, #fffef9);
  --_ring: var(--lw-ring, #0072b2); --_dot: var(--lw-dot, #009e73);
  --_cross: var(--lw-cross, #d55e00); --_path: var(--lw-path, #cc79a7); }
:host([hidden]) { display: none; }
svg { display: block; background: var(--_plate); width: 100%; height: 100%; overflow: hidden; pointer-events: none; user-select: none; }
.ground { fill: var(--_plate); }
.frame { fill: none; stroke: var(--_ink); stroke-width: 2.5; }
.hatch { fill: none; stroke: var(--_ink); stroke-width: 1.7; }
.co { font: 34px var(--serif, "Libertinus Serif", Georgia, serif); fill: var(--_ink); text-anchor: middle; }
.shape { stroke-width: 3.3; stroke-linejoin: round; }
.w { fill: var(--_white); stroke: var(--_ink); color: var(--_ink); }
.b { fill: var(--_ink); stroke: var(--_ink); color: var(--_plate); }
.shape .halo { fill: var(--_plate); stroke: var(--_plate); stroke-width: 11; }
.inner { fill: none; stroke: currentColor; stroke-width: 2.8; stroke-linecap: round; }
.eye { fill: currentColor; stroke: none; }
.ticks { fill: none; stroke: var(--_ink); stroke-width: 5; }
.ticks .halo { stroke: var(--_plate); stroke-width: 13; }
.hints { fill: var(--_ink); stroke: var(--_plate); stroke-width: 6; paint-order: stroke; }
.lift { fill: none; stroke: var(--_ink); stroke-width: 6; }
.lift.halo { stroke: var(--_plate); stroke-width: 14; }
.mark { fill: none; stroke-width: 7; stroke-linecap: round; stroke-linejoin: round; }
.ring { stroke: var(--_ring); }
.dot { fill: var(--_dot); stroke: var(--_dot); stroke-width: 2; }
.cross { stroke: var(--_cross); stroke-width: 9; }
.path { stroke: var(--_path); stroke-width: 8; }
.path.shaft { stroke-dasharray: 20 15; }
.mark.halo { stroke: var(--_plate); stroke-width: 17; }
.mark.halo.dot { fill: var(--_plate); stroke-width: 12; }
.grid { position: absolute; left: 6.502%; top: 2.915%; width: 89.686%; height: 89.686%; display: grid;
  grid-template-rows: repeat(8, 1fr); }
:host([coordinates="none"]) .grid { left: 1.923%; top: 1.923%; width: 96.154%; height: 96.154%; }
:host([coordinates="none"]) .co { display: none; }
.row { display: grid; grid-template-columns: repeat(8, 1fr); }
.square { outline: none; -webkit-tap-highlight-color: transparent; user-select: none; -webkit-user-select: none; }
.grid.keyed .square:focus { outline: 3px solid var(--_ring); outline-offset: -3px; box-shadow: inset 0 0 0 5px var(--_plate); }
:host([can~="move"]) .square.own { cursor: grab; touch-action: none; }
:host([can~="move"]) .grid.dragging, :host([can~="move"]) .dragging .square { cursor: grabbing; }
:host([marking]) .grid .square { cursor: crosshair; touch-action: none; }
.choice { position: absolute; z-index: 2; display: flex; left: 50%; top: 50%; translate: -50% -50%;
  background: var(--_plate); border: 3px double var(--_ink); padding: 2%; }
.choice button { width: max(44px, 13cqw); aspect-ratio: 1; padding: 2px; border: 1px solid transparent;
  background: none; cursor: pointer; }
.choice svg { background: none; overflow: visible; }
.choice button:focus-visible, .choice button:hover { outline: 3px solid var(--_ring); }
.entry { position: absolute; z-index: 2; left: 6.5%; right: 3.8%; bottom: 0; display: flex; gap: 0.5em; align-items: baseline;
  padding: 0.3em 0.6em; background: var(--_plate); color: var(--_ink); border: 3px double var(--_ink);
  font: 1.05rem/1.3 var(--serif, Georgia, serif); }
.entry input { flex: 1; min-width: 4em; font: inherit; color: inherit; background: none; border: 0;
  border-bottom: 1px solid var(--_ink); border-radius: 0; }
.entry input:focus-visible { outline: 2px solid var(--_ring); outline-offset: 2px; }
.choice[hidden], .entry[hidden] { display: none; }
.vh { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
@container (max-width: 24rem) {
  .fine { display: none; }
  .hatch { stroke-width: 3.2; }
  .co { font-size: 44px; }
}
@media print {
  .fine { display: none; }
  .hatch { stroke-width: 3; }
  .choice, .entry, .hints, .lift { display: none; }
}
@media (forced-colors: active) {
  svg { forced-color-adjust: none; }
  .choice, .entry { border-color: CanvasText; }
}
`;

let sheet = null;

/** One style sheet for all boards; built by script, so that a strict content policy lets it pass. */
export function sharedSheet() {
  if (!sheet) {
    sheet = new CSSStyleSheet();
    sheet.replaceSync(STYLE);
  }
  return sheet;
}
