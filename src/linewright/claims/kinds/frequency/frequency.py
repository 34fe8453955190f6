"""Claims about how often a move is played, decided by the games base."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.frequency.measures import How, Measure, measures
from linewright.claims.kinds.frequency.share_ruling import decide_share
from linewright.claims.kinds.frequency.which_move import (
    MeasuredClause,
    Refers,
    steps_said,
    text_of,
    which_move,
    word_span,
)
from linewright.claims.rulings import Ruling, undecided
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.named_moves import Mention, mentions
from linewright.claims.sentence.talk_scene import LONGEST_SIDE, Scene
from linewright.claims.sentence.words import INTERJECTION, Sentence
from linewright.language.evidence import why
from linewright.language.wordings import wording
from linewright.lesson.finding import Kind

#: Tokens before a claim's first word whose wishes and doubts still reach it, and after its last one whose
#: restrictions ("at club level") do.
CORE_SIDE = 6
#: Tokens before the measure in which a "not" denies it, and in which an "after" or "if" governs it.
NOT_REACH, CONDITION_REACH = 4, 10
#: Tokens that may stand between alternatives ("a6, or perhaps rook e8").
MOST_BETWEEN = 3
#: "Nearly always, here, he drops …": how many clause parts further the verb may stand.
MAX_WIDENING = 3


@dataclass(frozen=True, slots=True)
class FrequencyClaim:
    """That a move is played so often.

    :param measure: how often, as the words say it.
    :param moves: UCI of the legal moves that the words can mean; several for "takes" or "a6 or rook e8".
    :param every: the moves are named as alternatives, so their shares add up; else one of them is meant.
    :param refers: how the words name the move.
    :param denied: the claim is that it is not so.
    :param some_games: words that restrict it to a part of the games ("nowadays").
    """

    measure: Measure
    moves: tuple[str, ...]
    every: bool
    refers: Refers
    denied: bool = False
    some_games: str = ""


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[FrequencyClaim]]:
    """The frequency claims of a sentence, in order."""
    done: list[tuple[int, int]] = []
    for measure, start, end in measures(sentence.text, scene.language):
        trigger = sentence.token_range(start, end)
        clause = _clause(sentence, scene, trigger)
        if any(clause[0] < last and clause[1] > first for first, last in done):
            continue
        found = _claim(MeasuredClause(sentence, scene, measure, clause, trigger))
        if found is not None:
            done.append((found.first, found.last))
            yield found


def _clause(sentence: Sentence, scene: Scene, trigger: tuple[int, int]) -> tuple[int, int]:
    """The clause of a frequency claim. Moves said in it belong to it ("nearly everybody goes [knight f6]"), moves
    said before it by words of their own don't; a bare "nearly always, here," goes on until somebody plays."""
    parts = sentence.parts
    touched = [n for n, (a, b) in enumerate(parts) if a < trigger[1] and b > trigger[0]]
    low, high = touched[0], touched[-1]
    while low and parts[low][0] - parts[low - 1][0] <= INTERJECTION:
        if steps_said(scene, word_span(sentence, parts[low - 1])):
            break
        low -= 1
    while high + 1 < len(parts) and not _says_all(sentence, scene, (parts[low][0], parts[high][1])):
        high += 1
        if high - touched[-1] == MAX_WIDENING:
            break
    first, last = parts[low][0], parts[high][1]
    if mentions(sentence.tokens, trigger[1], last, sentence.language):
        first = max(first, _after_moves(sentence, scene, first, trigger[0]))
    return max(first, trigger[0] - LONGEST_SIDE), min(last, trigger[1] + LONGEST_SIDE)


def _says_all(sentence: Sentence, scene: Scene, tokens: tuple[int, int]) -> bool:
    """Whether the words hold a verb of playing or a move, so that the claim need not go on in the next part."""
    playing = wording("claims/frequency", scene.language).hint("playing", text_of(sentence, tokens))
    return playing is not None or bool(mentions(sentence.tokens, *tokens, sentence.language))


def _after_moves(sentence: Sentence, scene: Scene, first: int, until: int) -> int:
    """The first token past the moves said between two tokens."""
    words = sentence.tokens[first].first, sentence.tokens[until].first
    ends = [scene.walk.steps[i].said.last for i in steps_said(scene, words)]
    passed = [n for n in range(first, until) if ends and sentence.tokens[n].first < max(ends)]
    return passed[-1] + 1 if passed else first


def _claim(said: MeasuredClause) -> Found[FrequencyClaim] | None:
    sentence, clause, trigger = said.sentence, said.clause, said.trigger
    denied = _is_denied(said)
    named = _alternatives(mentions(sentence.tokens, *clause, sentence.language), said, denied)
    if _is_governed(said):
        return None
    if text_of(sentence, (trigger[1], clause[1])).split(" ")[0] in said.words("pointing_on"):
        named = ()
    core = _core(clause, trigger, named)
    own = (core[0], min(core[1] + CORE_SIDE, clause[1]))
    if said.hints("circle", own) or _is_of_something_else(said, core) or _is_unreal(said, core):
        return None
    some_games = said.wording.hint("some games", text_of(sentence, own))
    target = which_move(said, named)
    if target is None:
        return None
    step, moves, every, refers = target
    about = FrequencyClaim(said.measure, moves, every, refers, denied, some_games.text if some_games else "")
    return Found(about, clause[0], clause[1], step, Mood())


def _core(clause: tuple[int, int], trigger: tuple[int, int], named: tuple[Mention, ...]) -> tuple[int, int]:
    """The part of a clause that the claim itself takes: from shortly before its first word to its last one."""
    starts = [trigger[0], *(mention.first for mention in named)]
    ends = [trigger[1], *(mention.last for mention in named)]
    return max(clause[0], min(starts) - CORE_SIDE), min(clause[1], max(ends))


def _is_of_something_else(said: MeasuredClause, core: tuple[int, int]) -> bool:
    """Whether the measure belongs to no move: "a rare book", "most people think", "usually a good idea"."""
    if said.hints("thinking", core) or (not said.measure.names_move and said.hints("judging", core)):
        return True
    if said.measure.how not in (How.COMMON, How.RARE):
        return False
    sentence, trigger = said.sentence, said.trigger
    if text_of(sentence, (trigger[1], trigger[1] + 1)) in said.words("than"):
        return True  # one move against another: comparison.py
    if trigger[0] and sentence.tokens[trigger[0] - 1].text in said.words("equally"):
        return True  # "equally popular": comparison.py, too
    following = (trigger[1], min(trigger[1] + 1, core[1]))
    if following[0] >= following[1] or said.hints("ends in a move", trigger) or said.hints("may follow", following):
        return False
    return sentence.tokens[trigger[1] - 1].text not in said.words("needs_no_noun")


def _is_unreal(said: MeasuredClause, core: tuple[int, int]) -> bool:
    """Whether the words are a wish, a plan, one's own habit or a question."""
    asked = said.sentence.asked and said.clause[1] == len(said.sentence.tokens)
    return asked or said.hints("asking", core) or said.hints("unreal", core)


def _is_denied(said: MeasuredClause) -> bool:
    """Whether a "not" stands shortly before the measure."""
    near = text_of(said.sentence, (max(said.clause[0], said.trigger[0] - NOT_REACH), said.trigger[0]))
    return said.wording.hint("not", said.wording.without("not a denial", near)) is not None


def _is_governed(said: MeasuredClause) -> bool:
    """Whether "after bishop b5", "if he takes" or "apart from a6" governs the measure: then it speaks of another
    position, or of the other moves. Not so when those words' move is played on the board, as they are said or before.
    """
    sentence, scene, start = said.sentence, said.scene, said.trigger[0]
    low = max(0, start - CONDITION_REACH)
    if said.hints("except", (low, start)):
        return True
    found = [n for n in range(low, start) if said.hints("condition", (n, n + 1))]
    if not found or scene.moves_between(sentence.tokens[found[-1]].first, said.at):
        return False
    last = scene.last_move(scene.step_at(said.at))
    if last is None:
        return True
    step = scene.walk.steps[last]
    named = mentions(sentence.tokens, found[-1], start, sentence.language)
    board = scene.board(last)
    return not any(move.uci() == getattr(step, "uci", "") for mention in named for move in mention.fits(board))


def _alternatives(found: tuple[Mention, ...], said: MeasuredClause, denied: bool) -> tuple[Mention, ...]:
    """The mentions that the measure speaks of: the run joined by "or" nearest to it, those after it first; before
    it when denied ("bishop c4 isn't the main move, bishop b5 is")."""
    texts, trigger = [token.text for token in said.sentence.tokens], said.trigger
    before = [m for m in found if m.last <= trigger[0]]
    after = [m for m in found if m.last > trigger[1] and said.words("then").isdisjoint(texts[trigger[1] : m.first])]
    if before and said.hints("is", (before[-1].last, trigger[0])):
        return (before[-1],)  # "knight c3 is very rare here, it's h4 or bishop c4"
    if not after or (denied and before):
        return tuple(before[-1:] or after[:1])
    run = after[:1]
    for mention in after[1:]:
        between = texts[run[-1].last : mention.first]
        if said.words("or").isdisjoint(between) or len(between) > MOST_BETWEEN:
            break
        run.append(mention)
    return tuple(run)


def decide(claim: FrequencyClaim, facts: Facts) -> Ruling:
    """Count the games."""
    if claim.refers is Refers.LOST:
        return undecided(why("frequency.illegal"))
    return decide_share(claim.measure, claim.moves, claim.every, claim.denied, claim.some_games, facts)


FREQUENCY = ClaimKind(Kind.FREQUENCY, find, decide, asks_base=True)
