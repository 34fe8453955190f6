"""Claims that count men: pieces developed, a lead in development, material, squares that no pawn can guard.

Each module holds one :class:`~linewright.claims.claim_kind.ClaimKind`; ``kinds/__init__`` lists them.
"""
