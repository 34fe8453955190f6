"""Claims about pawns: their traits, majorities, open files, the centre, named structures and outposts.

Each module holds one :class:`~linewright.claims.claim_kind.ClaimKind`; ``kinds/__init__`` lists them.
"""
