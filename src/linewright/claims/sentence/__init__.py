"""What a sentence says around a claim: clauses, mood, whose, men and moves named, the scene."""
