"""Where classes are kept, and what a trainer sees of them."""
