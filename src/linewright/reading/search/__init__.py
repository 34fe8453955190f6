"""The search over legal moves: readings kept alive, grown, scored and pruned."""
