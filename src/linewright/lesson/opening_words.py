"""Ordinary words in the names of openings."""

from __future__ import annotations

#: Words of the catalogue that are ordinary words: no name by themselves.
ORDINARY = frozenset(
    "line gambit main variation defence attack opening modern classical accepted declined exchange fianchetto pawn "
    "pawns knight knights bishop bishops bishop's queen's king's queen king four two three closed open old advance "
    "game games system reversed prefix castled normal double setup symmetrical countergambit counter-gambit "
    "accelerated central center quiet wing poisoned deferred retreat formation transposition traditional delayed "
    "invitation east rat lion bird bird's move order against semi-open flank with early late development counter "
    "counterattack attack's trap sacrifice exchange's centre square squares side kingside queenside long short "
    "slow fast big small positional strategic aggressive solid simple direct indirect complex tension hybrid pseudo "
    "hedgehog dragon elephant kangaroo hippopotamus lemming spike snake great global creepy crawly shuffle "
    "blockade bind storm plan response reply capture recapture check mate refutation improved improvement van de der "
    "del von st. the of and or in vs into indian english french ware rapid mason wade borg carr lion spike black "
    "white new half quick regular orthodox standard mainline proper endgame ending queenless attack, max dutch "
    "polish rook rooks castling free space gain pressure pin pinned square horsefly mustang horse cat dog hanging "
    "isolated isolani passed blocked locked sharp calm deep extended full early reverse anti double pseudo- "
    "neo super ultra hyper semi counter- minor major lesser mixed mutual relative relaxed restrained "
    "lunge grab thrust push jump hop leap swap trade bayonet fishing pole wall stone long-castled short-castled".split()
)
