/** What hosts use of the board element; importing it defines `<lw-board>`. */

export { ENGLISH, labelsOf } from "./labels.js";
export { START, Position, fromUci, nameOf, squareOf, uciOf } from "./position.js";
export { figurine, fromWords, inWords, moveOf, numbered, toSan } from "./san.js";
export { boardWords, manWords, markWords, squareWords, toggled } from "./words.js";
export { manPicture } from "./diagram.js";
export { Board } from "./board.js";
