"""What the talk should have said, found without being asked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from linewright.claims.counted_games import CountedGames
from linewright.claims.engine_questions import KNOWN, PRAISED, SHOWN, Question, Verdicts
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.unasked.branches import unnoticed_transpositions
from linewright.claims.unasked.finishes import unshown_finishes
from linewright.claims.unasked.mistakes import praised, praised_mistakes, refutations
from linewright.claims.unasked.replies import missing_replies
from linewright.claims.unasked.scope import Scope
from linewright.lesson.finding import Finding, Kind

#: Games from which on a move is known to theory, so that the engine's view of it is worth little.
KNOWN_GAMES = 100


class Unasked:
    """The unasked findings of a walk: first what they want of the engine, then what they find."""

    def __init__(self, scene: Scene, games: CountedGames, off: frozenset[Kind]) -> None:
        self._scope = Scope(scene)
        self._games = games
        self._off = off

    def questions(self) -> Iterator[Question]:
        """Each position of the lesson's own part and the one it branches off from."""
        if self._off >= {Kind.REPLY, Kind.PRAISE, Kind.REFUTATION}:
            return
        scope = self._scope
        good = {node.id for node in praised(scope)}
        for node in scope.own:
            board = scope.board(node)
            replies = self._games.replies(board)
            known = replies is not None and replies.total >= KNOWN_GAMES
            doubt = PRAISED if node.id in good else KNOWN if known else SHOWN
            yield Question(board, doubt)
            if node.parent is not None and node.ply == scope.first_ply:
                yield Question(scope.board(scope.nodes[node.parent]), doubt)

    def findings(self, verdicts: Verdicts, claims: Sequence[Finding]) -> Iterator[Finding]:
        """What is found, kind by kind.

        :param claims: the findings on what the talk claims; the quotes among them carry the base's games.
        """
        scope, off = self._scope, self._off
        if Kind.REPLY not in off:
            yield from missing_replies(scope, self._games, verdicts)
        if Kind.PRAISE not in off:
            yield from praised_mistakes(scope, verdicts)
        if Kind.REFUTATION not in off:
            yield from refutations(scope, verdicts)
        if Kind.BRANCH not in off:
            yield from unnoticed_transpositions(scope, self._games)
        if Kind.FINISH not in off:
            yield from unshown_finishes(scope, claims)
