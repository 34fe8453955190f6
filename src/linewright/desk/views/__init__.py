"""What the desk's pages show, as data."""
