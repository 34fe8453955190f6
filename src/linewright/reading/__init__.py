"""From a talk to a walk: spoken and written moves read off against the board."""
