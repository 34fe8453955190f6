"""Claims about what is attacked, forked, pinned, trapped or won."""
