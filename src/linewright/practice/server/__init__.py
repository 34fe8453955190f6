"""What serving a class takes: many answers at once, and limits."""
