"""Claims that a game was played: who met whom, when, where, how it ended and by which moves, against the games base."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import chess
from rapidfuzz import fuzz

from linewright.claims.claim_kind import ClaimKind, Facts, Found, Library
from linewright.claims.counted_games import ADD_GAMES
from linewright.claims.kinds.quotes.written_quotes import GameQuote, quotes
from linewright.claims.referred_games import game_ref
from linewright.claims.rulings import Ruling, fails, holds, undecided
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.games.api import GameTags, Meeting, likeness, plain
from linewright.language.evidence import Evidence, Value, together, why
from linewright.language.wordings import DEFAULT, word_set
from linewright.lesson.finding import Kind, Verdict
from linewright.lesson.spoken import numbered

#: How much it counts that a game goes through the position on the board, in things said of it.
THROUGH = 2
#: How like a said name and a player's surname must be, 0-1, by spelling or by sound: names are misheard.
LIKE = 0.72
#: Half-moves after which a position is a game's own, so that no other game of the same two is likely meant.
OWN_PLIES = 16
#: … if no more games of the base than this went through it, or the two met no more often in the base than that: old
#: rivals may have had a common position again, in a year that the base lacks.
RARE_GAMES, FEW_MEETINGS = 20, 5
#: How like, of 100, a said place and a game's must be: Sevilla and Seville are 86.
LIKE_PLACES = 78
#: Letters of a word at least by which a place is known.
SHORTEST_PLACE = 3


@dataclass(frozen=True, slots=True)
class QuoteClaim:
    """A quoted game and the line on the board when it is quoted.

    :param line: the line's moves from the start position, as UCI; empty where the walk starts elsewhere.
    :param bare: which of them, by index, were said by words that fit other moves too ("takes").
    :param language: in which it is quoted.
    """

    quoted: GameQuote
    line: tuple[str, ...]
    bare: frozenset[int] = frozenset()
    language: str = DEFAULT


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[QuoteClaim]]:
    """The games that a sentence quotes, at the position that stands when they are."""
    for quoted in quotes(sentence, scene.walk.talk, scene.language):
        inside = [i for i, t in enumerate(sentence.tokens) if t.last > quoted.first and t.first < quoted.last]
        if not inside:
            continue
        step = scene.step_at(quoted.first)
        standard = scene.walk.start == chess.STARTING_FEN
        nodes = scene.walk.line(scene.walk.node_after(step)) if standard else ()
        line = tuple(scene.walk.nodes[node].uci for node in nodes)
        bare = scene.bare_moves(step) if line else frozenset()
        claim = QuoteClaim(quoted, line, bare, scene.language)
        yield Found(claim, inside[0], inside[-1] + 1, step, Mood(vague=quoted.unsure))


def decide(claim: QuoteClaim, facts: Facts) -> Ruling | None:
    """Look the game up. It fails only where the base surely has the very game and that game is otherwise; a base
    holds a part of all games, so that a game not found proves nothing."""
    if facts.library is None:
        players = " – ".join(claim.quoted.players)
        return undecided(why("quote.no_base", players=players, todo=ADD_GAMES))
    meeting = _meant(claim, facts.board, facts.library)
    if meeting is None:
        if facts.timed:
            return None  # names are what recognisers mishear most: "Barnett Lumpiad" is no pair of players
        return undecided(why("quote.unknown", players=_both(claim.quoted.players)))
    ruling = _compared(claim, meeting, _is_own(claim, facts))
    # A game that is merely the nearest is no game of the talk's: nothing may show it as one.
    meant = ruling.verdict is not Verdict.UNDECIDED or _reaches(claim, meeting.moves)
    return replace(ruling, game=game_ref(meeting)) if meant else ruling


def _is_own(claim: QuoteClaim, facts: Facts) -> bool:
    """Whether the position on the board is so far from the start, and so rare, or the players met so seldom, that it
    is one game's own."""
    if len(claim.line) < OWN_PLIES:
        return False
    if facts.replies is None or facts.replies.total <= RARE_GAMES or facts.library is None:
        return True
    names = [(name,) for name in claim.quoted.players]
    return len(names) > 1 and facts.library.meetings(names, LIKE).all <= FEW_MEETINGS


def _meant(claim: QuoteClaim, board: chess.Board, library: Library) -> Meeting | None:
    """Of the named players' games the one of which most that was said is true; among equals the one that goes along
    with the talk's line for longest. One name alone needs the year as well."""
    quoted, names = claim.quoted, [(name,) for name in claim.quoted.players]
    through = library.meetings(names, LIKE, board).found if claim.line else ()
    found = [*through, *library.meetings(names, LIKE, None, quoted.year).found]
    if len(names) == 1:
        found = [meeting for meeting in found if meeting.game.year == quoted.year]
    here = {meeting.game.id for meeting in through}
    right = [_right(claim, meeting) + THROUGH * (meeting.game.id in here) for meeting in found]
    best = [meeting for meeting, count in zip(found, right, strict=True) if count == max(right)]
    return max(best, key=lambda meeting: (_parted(claim.line, meeting.moves)[0], meeting.like), default=None)


def _right(claim: QuoteClaim, meeting: Meeting) -> int:
    """How many of the things said are true of a game."""
    quoted, game = claim.quoted, meeting.game
    wrong = (
        (quoted.year, _wrong_year(quoted, game)),
        (quoted.event, _wrong_place(claim, game)),
        (quoted.outcome, _wrong_outcome(quoted, game)),
        (quoted.round, _wrong_round(quoted, game)),
    )
    return sum(said is not None and not any(reasons) for said, reasons in wrong)


def named(players: tuple[str, ...], game: GameTags) -> bool | None:
    """Whether the names as said can be a game's players: True when White was named first, False when Black was, None
    when they can't."""
    like = [likeness(name, (game.white, game.black)) for name in players]
    if all(part >= LIKE for part in (like[0][0], *(row[1] for row in like[1:]))):
        return True
    if all(part >= LIKE for part in (like[0][1], *(row[0] for row in like[1:]))):
        return False
    return None


def _compared(claim: QuoteClaim, found: Meeting, own: bool) -> Ruling:
    quoted, game = claim.quoted, found.game
    wrong = [*_wrong_year(quoted, game), *_wrong_place(claim, game), *_wrong_outcome(quoted, game)]
    wrong += [*_wrong_round(quoted, game), *_wrong_length(quoted, found)]
    name = describe_game(game)
    parted = _parted(claim.line, found.moves)
    if _reaches(claim, found.moves):
        reaches = _reaching(claim, name, found.moves, parted)
        if not wrong:
            return holds(reaches)
        return (fails if own else undecided)(together((reaches, *wrong)))
    parting = _parting(claim.line, found.moves, parted)
    if wrong:
        return undecided(together((why("quote.nearest", game=name), *wrong, parting)))
    dated = quoted.year is not None and (quoted.event is not None or parted[0] >= OWN_PLIES)
    if not claim.line and dated:
        return holds(name)
    evidence = why("quote.parting", game=name, parting=parting)
    if dated and quoted.its_moves and len(claim.line) >= OWN_PLIES and parted[0] not in claim.bare:
        return fails(evidence)
    return undecided(evidence)


def _reaches(claim: QuoteClaim, moves: tuple[str, ...]) -> bool:
    """Whether the game reaches the line's last position, by whatever moves; a last move said by words that fit the
    game's own move there too ("takes") is taken for it."""
    line, game = _parted(claim.line, moves)
    if line == len(claim.line):
        return bool(line)
    last = line == len(claim.line) - 1 and line in claim.bare and game < len(moves)
    return last and _board(claim.line[:line]).is_capture(chess.Move.from_uci(moves[game]))


def _reaching(claim: QuoteClaim, name: Evidence, moves: tuple[str, ...], parted: tuple[int, int]) -> Evidence:
    line, game = parted
    if line == len(claim.line):
        return why("quote.reaches", game=name)
    return why("quote.reaches_otherwise", game=name, move=_numbered(_board(claim.line[:line]), moves[game]))


def _board(line: tuple[str, ...]) -> chess.Board:
    board = chess.Board()
    for uci in line:
        board.push(chess.Move.from_uci(uci))
    return board


def _numbered(board: chess.Board, uci: str) -> str:
    return numbered(board.fen(), board.san(chess.Move.from_uci(uci)))


def _parted(line: tuple[str, ...], moves: tuple[str, ...]) -> tuple[int, int]:
    """How many half-moves of the line, and of the game, lead to the last position that both have, by whatever
    orders of moves."""
    board, known = chess.Board(), {}
    for ply in range(min(len(moves), 2 * len(line) + 1) + 1):
        known[board.epd()] = ply
        if ply < len(moves):
            board.push(chess.Move.from_uci(moves[ply]))
    board, last = chess.Board(), (0, 0)
    for ply, uci in enumerate(line, 1):
        board.push(chess.Move.from_uci(uci))
        last = (ply, known[board.epd()]) if board.epd() in known else last
    return last


def _parting(line: tuple[str, ...], moves: tuple[str, ...], parted: tuple[int, int]) -> Evidence:
    """Where the line leaves the game: ``the moves part at 17.Rad1, where the game has 17.Rfd1``."""
    at, game = parted
    if at >= len(line):
        return why("quote.shorter")
    board = _board(line[:at])
    move = _numbered(board, line[at])
    if game >= len(moves):
        return why("quote.ended", move=move)
    return why("quote.parts", move=move, other=_numbered(board, moves[game]))


def describe_game(game: GameTags) -> Evidence:
    """``Lind, Ada – Novak, Jan, Harbour Open 1998, round 3, 1-0``."""
    event, year = game.event.strip("? "), str(game.year or "")
    values: dict[str, Value] = {
        "white": game.white,
        "black": game.black,
        "event": event if year in event else f"{event} {year}".strip(),
        "result": game.result,
    }
    if game.round.strip("?- "):
        return why("quote.game_round", round=game.round, **values)
    return why("quote.game", **values)


def _both(players: tuple[str, ...]) -> Value:
    return why("terms.and", first=players[0], last=players[1]) if len(players) > 1 else players[0]


def _wrong_year(quoted: GameQuote, game: GameTags) -> list[Evidence]:
    if quoted.year is None or game.year is None or quoted.year == game.year:
        return []
    return [why("quote.year", year=game.year, said=quoted.year)]


def _wrong_place(claim: QuoteClaim, game: GameTags) -> list[Evidence]:
    event = claim.quoted.event
    if event is None:
        return []
    no_place = word_set("claims/quoting", "contest", claim.language) | word_set(
        "claims/quoting", "country", claim.language
    )
    words = [word for word in plain(event).split() if word not in no_place and len(word) >= SHORTEST_PLACE]
    known = plain(f"{game.event} {game.site}").split()
    if not words or not known or not game.site.strip("? "):
        return []
    if any(fuzz.ratio(word, other) >= LIKE_PLACES for word in words for other in known):
        return []
    return [why("quote.place", event=game.event, site=game.site, said=event)]


def _wrong_round(quoted: GameQuote, game: GameTags) -> list[Evidence]:
    """PGN's Round tag may have parts ("3.1": third round, first board; PGN standard 8.1.1.4): the first one counts."""
    known = game.round.split(".")[0]
    if quoted.round is None or not known.isdecimal() or int(known) == quoted.round:
        return []
    return [why("quote.round", round=known, said=quoted.round)]


def _wrong_length(quoted: GameQuote, found: Meeting) -> list[Evidence]:
    """A move more or less is a matter of how the last one is counted."""
    took = (len(found.moves) + 1) // 2
    if quoted.length is None or abs(took - quoted.length) <= 1:
        return []
    return [why("quote.length", moves=took, said=quoted.length)]


def _wrong_outcome(quoted: GameQuote, game: GameTags) -> list[Evidence]:
    if quoted.outcome is None or game.result == "*":
        return []
    white_first = named(quoted.players, game)
    wins = {"white": "1-0", "black": "0-1", "draw": "1/2-1/2", "first": "1-0" if white_first else "0-1",
            "second": "0-1" if white_first else "1-0"}  # fmt: skip
    if wins[quoted.outcome] == game.result:
        return []
    if game.result == "1-0":
        return [why("quote.white_won", result=game.result)]
    if game.result == "0-1":
        return [why("quote.black_won", result=game.result)]
    return [why("quote.drawn", result=game.result)]


QUOTE = ClaimKind(Kind.QUOTE, find, decide, asks_base=True)
