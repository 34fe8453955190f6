#!/usr/bin/env python3
"""Make NAME.txt and NAME.ref.json from NAME.marks, and check both.

Marks, which may stand inside one another:
  [[SAN|words]]                     a move and the words that tell it
  [[=A]]  [[<A|words]]              remember a position; go back to it ("[[<A|]]": nobody says so)
  [[?KIND=TRUTH@OF:note|words]]     a claim; "@OF" is optional: "@-1" the last move and the position before it,
                                    "@-2" the move before that one, "@SAN" a move from the position on the board,
                                    "@=A" a remembered position, "@=A/SAN" a move from it
  [[~words]]                        sounds like a claim, or is chatter; claims nothing of the position
"""

import json
import re
import sys
from pathlib import Path

import chess

KINDS = set(
    "frequency structure files development king centre material repetition assessment tactic quote "
    "transposition move plan novelty threat tempo compensation".split()
)


class Talk:
    def __init__(self, source):
        self.source, self.at, self.text = source, 0, ""
        self.board, self.labels, self.line = chess.Board(), {}, []
        self.moves, self.jumps, self.claims, self.nothing = [], [], [], []

    def read(self, inside=False):
        while self.at < len(self.source):
            if self.source.startswith("]]", self.at) and inside:
                self.at += 2
                return
            if self.source.startswith("[[", self.at):
                self.at += 2
                self.mark()
            else:
                self.text += self.source[self.at]
                self.at += 1
        if inside:
            raise SystemExit("a mark is not closed: " + self.text[-60:])

    def words(self):
        start = len(self.text)
        self.read(True)
        return start

    def mark(self):
        if self.source[self.at] == "~":
            self.at += 1
            slot = len(self.nothing)
            self.nothing.append(None)
            start = self.words()
            self.nothing[slot] = (start, len(self.text))
            return
        if self.source[self.at] == "=":
            name, self.at = self.source[self.at + 1 :].split("]]", 1)[0], self.source.index("]]", self.at) + 2
            self.labels[name] = (self.board.copy(), list(self.line))
            return
        end = self.source.index("|", self.at)
        head, self.at = self.source[self.at : end], end + 1
        if head.startswith("<"):
            board, self.line = self.labels[head[1:]]
            self.board, self.line = board.copy(), list(self.line)
            slot, before = len(self.jumps), len(self.moves)
            start = self.words()
            self.jumps.insert(
                slot,
                {
                    "to": self.board.fen(),
                    "words": self.text[start:],
                    "at": [start, len(self.text)],
                    "before_move": before,
                },
            )
        elif head.startswith("?"):
            kind, truth, of, note = re.fullmatch(r"\?(\w+)=(holds|fails|open)(?:@([^:]+))?:(.+)", head).groups()
            assert kind in KINDS, kind
            claim = {"kind": kind, "truth": truth, "note": note}
            self.claims.append(claim)
            if of and of.startswith("-"):
                then = self.line[int(of)]
                claim |= {"before": then[0], "of": then[1]}
            elif of and of.startswith("="):
                name, _, san = of[1:].partition("/")
                claim["before"] = self.labels[name][0].fen()
                if san:
                    claim["of"] = self.labels[name][0].san(self.labels[name][0].parse_san(san))
            elif of:
                claim |= {"before": self.board.fen(), "of": self.board.san(self.board.parse_san(of))}
            else:
                claim["before"] = self.board.fen()
            claim["fen"], claim["before_move"] = claim["before"], len(self.moves)
            start = self.words()
            claim["words"], claim["at"] = self.text[start:], [start, len(self.text)]
        else:
            move = self.board.parse_san(head)
            san, before = self.board.san(move), self.board.fen()
            assert san.rstrip("+#") == head.rstrip("+#"), (head, san)
            self.board.push(move)
            self.line.append((before, san))
            slot = {"san": san, "uci": move.uci(), "before": before, "after": self.board.fen()}
            self.moves.append(slot)
            start = self.words()
            slot |= {"words": self.text[start:], "at": [start, len(self.text)]}


def main(path):
    head, body = path.read_text().split("\n\n", 1)
    meta = dict(line.split(": ", 1) for line in head.splitlines())
    paragraphs = body.strip().split("\n\n")
    talk = Talk(
        "\n\n".join(" ".join(p.split()) for p in paragraphs) if meta.get("as") == "md" else " ".join(body.split())
    )
    talk.read()
    text = talk.text
    for what in [*talk.moves, *talk.jumps, *talk.claims]:
        a, b = what["at"]
        assert text[a:b] == what["words"] and (what["words"] or what in talk.jumps) and "[[" not in what["words"], what
    for a, b in zip(talk.moves, talk.moves[1:], strict=False):
        assert a["at"][1] <= b["at"][0], (a, b)
    for i, (a, b) in enumerate(zip(talk.moves, talk.moves[1:], strict=False), 1):
        assert a["after"] == b["before"] or any(j["before_move"] == i for j in talk.jumps), b
    nothing = [text[a:b] for a, b in talk.nothing]
    length = len(text.split())
    if meta.get("as") == "captions":
        assert text == text.lower() and not re.search(r"[.,;:!?]", text), "captions"
    assert 400 <= length <= 760 and len(nothing) >= 25, (path.name, length, len(nothing))
    ref = {
        "meta": meta,
        "moves": talk.moves,
        "jumps": talk.jumps,
        "claims": talk.claims,
        "nothing": nothing,
        "nothing_at": [list(n) for n in talk.nothing],
    }
    path.with_suffix(".txt").write_text(text + "\n")
    path.with_name(path.stem + ".ref.json").write_text(json.dumps(ref, indent=1) + "\n")
    print(
        path.stem,
        length,
        "words",
        len(talk.moves),
        "moves",
        len(talk.jumps),
        "returns",
        len(talk.claims),
        "claims",
        sum(c["truth"] == "fails" for c in talk.claims),
        "false",
        len(nothing),
        "nothing",
    )


for name in sys.argv[1:]:
    main(Path(name))
