"""The kinds of claims; a new one is listed here."""

from __future__ import annotations

from linewright.claims.claim_kind import AnyKind
from linewright.claims.kinds.assessment.assessment import ASSESSMENT
from linewright.claims.kinds.frequency.comparison import COMPARISON
from linewright.claims.kinds.frequency.frequency import FREQUENCY
from linewright.claims.kinds.king.castled import CASTLED
from linewright.claims.kinds.king.castling_right import KING
from linewright.claims.kinds.king.mating import MATING
from linewright.claims.kinds.moves.legal_moves import LEGAL_MOVES
from linewright.claims.kinds.moves.repetition import REPETITION
from linewright.claims.kinds.moves.transposition import TRANSPOSITION
from linewright.claims.kinds.pawns.centre_space import CENTRE
from linewright.claims.kinds.pawns.open_closed_files import FILES
from linewright.claims.kinds.pawns.pawn_traits import PAWNS
from linewright.claims.kinds.pawns.structures_outposts import SETTING
from linewright.claims.kinds.pawns.symmetry_majorities import SHAPE
from linewright.claims.kinds.pieces.beyond_pawns import BEYOND_PAWNS
from linewright.claims.kinds.pieces.development_lead import LEAD
from linewright.claims.kinds.pieces.material_count import MATERIAL
from linewright.claims.kinds.pieces.pieces_out import DEVELOPMENT
from linewright.claims.kinds.quotes.caption_quotes import HEARD_QUOTE
from linewright.claims.kinds.quotes.people import PEOPLE
from linewright.claims.kinds.quotes.quote_claim import QUOTE
from linewright.claims.kinds.tactics.attacked_defended import LOOSE
from linewright.claims.kinds.tactics.forks_skewers import DOUBLE
from linewright.claims.kinds.tactics.pinned import PINNED
from linewright.claims.kinds.tactics.trapped import TRAPPED
from linewright.claims.kinds.tactics.untakeable import UNTAKEABLE
from linewright.claims.kinds.tactics.winning import WINNING

KINDS: tuple[AnyKind, ...] = (
    PAWNS,
    SHAPE,
    SETTING,
    BEYOND_PAWNS,
    FILES,
    COMPARISON,
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
