"""The search over legal moves: readings kept alive, grown, merged, pruned and trimmed.

Door: ``said.search_of`` makes a search over what a talk says.
"""
