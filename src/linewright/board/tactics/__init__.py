"""What may be taken, forked, pinned or mated: attacks, exchanges, motifs, threats."""
