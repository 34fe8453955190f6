"""The kinds of claims; a new one is listed here."""

from __future__ import annotations

from linewright.claims.kinds.again import REPETITION, TRANSPOSITION
from linewright.claims.kinds.assessment import ASSESSMENT
from linewright.claims.kinds.beyond_pawns import BEYOND_PAWNS
from linewright.claims.kinds.castled import CASTLED
from linewright.claims.kinds.centre import CENTRE
from linewright.claims.kinds.compared import COMPARED
from linewright.claims.kinds.development import DEVELOPMENT
from linewright.claims.kinds.double import DOUBLE
from linewright.claims.kinds.files import FILES
from linewright.claims.kinds.frequency import FREQUENCY
from linewright.claims.kinds.heard_quote import HEARD_QUOTE
from linewright.claims.kinds.king import KING
from linewright.claims.kinds.lead import LEAD
from linewright.claims.kinds.legal_moves import LEGAL_MOVES
from linewright.claims.kinds.loose import LOOSE
from linewright.claims.kinds.material import MATERIAL
from linewright.claims.kinds.mating import MATING
from linewright.claims.kinds.people import PEOPLE
from linewright.claims.kinds.pinned import PINNED
from linewright.claims.kinds.quote import QUOTE
from linewright.claims.kinds.setting import SETTING
from linewright.claims.kinds.shape import SHAPE
from linewright.claims.kinds.structure import PAWNS
from linewright.claims.kinds.trapped import TRAPPED
from linewright.claims.kinds.untakeable import UNTAKEABLE
from linewright.claims.kinds.winning import WINNING
from linewright.claims.registry import AnyKind

KINDS: tuple[AnyKind, ...] = (
    PAWNS,
    SHAPE,
    SETTING,
    BEYOND_PAWNS,
    FILES,
    COMPARED,
    FREQUENCY,
    MATERIAL,
    KING,
    CASTLED,
    REPETITION,
    TRANSPOSITION,
    DEVELOPMENT,
    LEAD,
    CENTRE,
    PINNED,
    LEGAL_MOVES,
    LOOSE,
    DOUBLE,
    TRAPPED,
    MATING,
    WINNING,
    UNTAKEABLE,
    ASSESSMENT,
    QUOTE,
    HEARD_QUOTE,
    PEOPLE,
)
