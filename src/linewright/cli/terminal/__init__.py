"""What the commands share at the terminal: help, folding, progress."""
