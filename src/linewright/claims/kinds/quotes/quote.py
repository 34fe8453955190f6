"""Claims that a game was played: who met whom, when, where, how it ended and by which moves, against the games base."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import chess
from rapidfuzz import fuzz

from linewright.claims.claim_kind import ClaimKind, Facts, Found, Library
from linewright.claims.games_asked import ADD_GAMES
from linewright.claims.kinds.quotes.quoting import Quoted, quotes
from linewright.claims.model import Kind, Verdict
from linewright.claims.referred_games import game_ref
from linewright.claims.rulings import Ruling, fails, holds, undecided
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.games.api import GameTags, Meeting, likeness, plain
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
#: Words that name a kind of contest, not a place; bases spell those in many ways.
_CONTESTS = frozenset(
    "olympiad olympics championship championships candidates interzonal zonal match open cup masters tournament final "
    "world game round festival league team grand prix slam classic memorial invitational congress rapid blitz".split()
)
#: Where a country is said, the base names a town.
_COUNTRIES = frozenset(
    "russia germany france spain england holland netherlands italy norway india china america usa ussr switzerland "
    "austria hungary poland iceland argentina cuba sweden denmark ireland scotland wales israel ukraine armenia "
    "azerbaijan georgia bulgaria romania yugoslavia serbia croatia greece turkey brazil philippines qatar".split()
)


@dataclass(frozen=True, slots=True)
class QuoteClaim:
    """A quoted game and the line on the board when it is quoted.

    :param line: the line's moves from the start position, as UCI; empty where the walk starts elsewhere.
    :param bare: which of them, by index, were said by words that fit other moves too ("takes").
    """

    quoted: Quoted
    line: tuple[str, ...]
    bare: frozenset[int] = frozenset()


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[QuoteClaim]]:
    """The games that a sentence quotes, at the position that stands when they are."""
    for quoted in quotes(sentence, scene.walk.talk):
        inside = [i for i, t in enumerate(sentence.tokens) if t.last > quoted.first and t.first < quoted.last]
        if not inside:
            continue
        step = scene.step_at(quoted.first)
        standard = scene.walk.start == chess.STARTING_FEN
        nodes = scene.walk.line(scene.walk.node_after(step)) if standard else ()
        line = tuple(scene.walk.nodes[node].uci for node in nodes)
        bare = scene.bare_moves(step) if line else frozenset()
        yield Found(QuoteClaim(quoted, line, bare), inside[0], inside[-1] + 1, step, Mood(vague=quoted.unsure))


def decide(claim: QuoteClaim, facts: Facts) -> Ruling | None:
    """Look the game up. It fails only where the base surely has the very game and that game is otherwise; a base
    holds a part of all games, so that a game not found proves nothing."""
    if facts.library is None:
        return undecided(f"no games base to look up {' – '.join(claim.quoted.players)} in; {ADD_GAMES}")
    meeting = _meant(claim, facts.board, facts.library)
    if meeting is None:
        if facts.timed:
            return None  # names are what recognisers mishear most: "Barnett Lumpiad" is no pair of players
        return undecided(
            f"the base has no such game of {' and '.join(claim.quoted.players)}; it may not have every game"
        )
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
    right = [_right(quoted, meeting) + THROUGH * (meeting.game.id in here) for meeting in found]
    best = [meeting for meeting, count in zip(found, right, strict=True) if count == max(right)]
    return max(best, key=lambda meeting: (_parted(claim.line, meeting.moves)[0], meeting.like), default=None)


def _right(quoted: Quoted, meeting: Meeting) -> int:
    """How many of the things said are true of a game."""
    game = meeting.game
    told = ((quoted.year, _wrong_year), (quoted.event, _wrong_place), (quoted.outcome, _wrong_outcome),
            (quoted.round, _wrong_round))  # fmt: skip
    return sum(said is not None and not any(wrong(quoted, game)) for said, wrong in told)


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
    wrong = [*_wrong_year(quoted, game), *_wrong_place(quoted, game), *_wrong_outcome(quoted, game)]
    wrong += [*_wrong_round(quoted, game), *_wrong_length(quoted, found)]
    name = described(game)
    parted = _parted(claim.line, found.moves)
    if _reaches(claim, found.moves):
        told = f"{name}: the game reaches this position{_otherwise(claim, found.moves, parted)}"
        if not wrong:
            return holds(told)
        return (fails if own else undecided)(f"{told}; {'; '.join(wrong)}")
    parting = _parting(claim.line, found.moves, parted)
    if wrong:
        return undecided(f"nearest is {name}; {'; '.join((*wrong, parting))}")
    dated = quoted.year is not None and (quoted.event is not None or parted[0] >= OWN_PLIES)
    if not claim.line and dated:
        return holds(name)
    if dated and quoted.its_moves and len(claim.line) >= OWN_PLIES and parted[0] not in claim.bare:
        return fails(f"{name}: {parting}")
    return undecided(f"{name}: {parting}")


def _reaches(claim: QuoteClaim, moves: tuple[str, ...]) -> bool:
    """Whether the game reaches the line's last position, by whatever moves; a last move said by words that fit the
    game's own move there too ("takes") is taken for it."""
    line, game = _parted(claim.line, moves)
    if line == len(claim.line):
        return bool(line)
    last = line == len(claim.line) - 1 and line in claim.bare and game < len(moves)
    return last and _board(claim.line[:line]).is_capture(chess.Move.from_uci(moves[game]))


def _otherwise(claim: QuoteClaim, moves: tuple[str, ...], parted: tuple[int, int]) -> str:
    line, game = parted
    if line == len(claim.line):
        return ""
    return f", with {_numbered(_board(claim.line[:line]), moves[game])} instead of the last move quoted"


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


def _parting(line: tuple[str, ...], moves: tuple[str, ...], parted: tuple[int, int]) -> str:
    """Where the line leaves the game: ``the moves part at 17.Rad1, where the game has 17.Rfd1``."""
    at, game = parted
    if at >= len(line):
        return "the line on the board is shorter than the game"
    board = _board(line[:at])
    told = _numbered(board, line[at])
    if game >= len(moves):
        return f"the game ended before {told}"
    return f"the moves part at {told}, where the game has {_numbered(board, moves[game])}"


def described(game: GameTags) -> str:
    """``Lind, Ada – Novak, Jan, Harbour Open 1998, round 3, 1-0``."""
    event, year = game.event.strip("? "), str(game.year or "")
    where = event if year in event else f"{event} {year}".strip()
    rounds = f", round {game.round}" if game.round.strip("?- ") else ""
    return f"{game.white} – {game.black}, {where}{rounds}, {game.result}"


def _wrong_year(quoted: Quoted, game: GameTags) -> Iterator[str]:
    if quoted.year is not None and game.year is not None and quoted.year != game.year:
        yield f"it was played in {game.year}, not {quoted.year}"


def _wrong_place(quoted: Quoted, game: GameTags) -> Iterator[str]:
    if quoted.event is None:
        return
    words = [word for word in plain(quoted.event).split() if word not in _CONTESTS | _COUNTRIES and len(word) > 2]
    known = plain(f"{game.event} {game.site}").split()
    if not words or not known or not game.site.strip("? "):
        return
    if not any(fuzz.ratio(word, other) >= LIKE_PLACES for word in words for other in known):
        yield f"it was played at {game.event} ({game.site}), not {quoted.event}"


def _wrong_round(quoted: Quoted, game: GameTags) -> Iterator[str]:
    """PGN's Round tag may have parts ("3.1": third round, first board; PGN standard 8.1.1.4): the first one counts."""
    known = game.round.split(".")[0]
    if quoted.round is not None and known.isdecimal() and int(known) != quoted.round:
        yield f"it was round {known}, not {quoted.round}"


def _wrong_length(quoted: Quoted, found: Meeting) -> Iterator[str]:
    """A move more or less is a matter of how the last one is counted."""
    took = (len(found.moves) + 1) // 2
    if quoted.length is not None and abs(took - quoted.length) > 1:
        yield f"it took {took} moves, not {quoted.length}"


def _wrong_outcome(quoted: Quoted, game: GameTags) -> Iterator[str]:
    if quoted.outcome is None or game.result == "*":
        return
    white_first = named(quoted.players, game)
    wins = {"white": "1-0", "black": "0-1", "draw": "1/2-1/2", "first": "1-0" if white_first else "0-1",
            "second": "0-1" if white_first else "1-0"}  # fmt: skip
    if wins[quoted.outcome] != game.result:
        ended = {"1-0": "White won", "0-1": "Black won"}.get(game.result, "it was drawn")
        yield f"{ended} ({game.result})"


QUOTE = ClaimKind(Kind.QUOTE, find, decide, asks_base=True)
