"""What all pages share: markup, typefaces, diagrams, the board element."""
