/** Moves in print and in words: figurines for the eye, names of pieces for the ear. */

/** Moves of a line as a book prints them, with words for the ear: HTML nodes. */
export function printed(start, line) {
  let position = Linewright.Position.of(start);
  const nodes = [];
  line.forEach((uci, index) => {
    const move = position.byUci(uci);
    const san = Linewright.toSan(position, move);
    const number = position.turn === "w" || index === 0 ? Linewright.numbered(position, "") : "";
    nodes.push(forEyeAndEar(number + Linewright.figurine(san), number.replace(/\.+/, " ") + Linewright.inWords(san)), " ");
    position = position.play(move);
  });
  return nodes;
}

/** Text that reads one way and sounds another. */
export function forEyeAndEar(eye, ear) {
  const both = document.createElement("span");
  const seen = Object.assign(document.createElement("span"), { textContent: eye });
  seen.setAttribute("aria-hidden", "true");
  const heard = Object.assign(document.createElement("span"), { className: "vh", textContent: ear });
  both.append(seen, heard);
  both.className = "mv";
  return both;
}

/** A move of a position with its number. */
export function named(fen, san) {
  return Linewright.numbered(Linewright.Position.of(fen), san);
}

/** The punishing line after a wrong move, numbered. */
export function lineFrom(fen, uci, reply) {
  let position = Linewright.Position.of(fen);
  position = position.play(position.byUci(uci));
  return reply
    .map((san, index) => {
      const text = index === 0 || position.turn === "w" ? Linewright.numbered(position, san) : san;
      const { move } = Linewright.moveOf(position, san);
      if (move) position = position.play(move);
      return text;
    })
    .join(" ");
}

/** Text in which written moves are printed with figurines, and said in words to those who listen. */
export function spokenMoves(text) {
  const parts = text.split(/((?:\d+\.(?:\.\.)?)?(?:[KQRBN][a-h]?[1-8]?x?[a-h][1-8][+#]?|O-O(?:-O)?[+#]?|[a-h]x[a-h][1-8](?:=[QRBN])?[+#]?))/);
  return parts.filter(Boolean).map((part) => {
    const form = /^(\d+\.(?:\.\.)?)?(.+)$/.exec(part) ?? ["", "", part];
    const isMove = /^(\d+\.(\.\.)?)?([KQRBN]|O-O|[a-h]x)/.test(part) && Linewright.inWords(form[2]) !== form[2];
    return isMove ? forEyeAndEar(Linewright.figurine(part), `${(form[1] ?? "").replace(/\.+/, " ")}${Linewright.inWords(form[2])}`) : part;
  });
}
