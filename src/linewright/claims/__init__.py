"""Claims found in a talk's words, and findings: claims checked against board and base."""
