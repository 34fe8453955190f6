"""What all pages are made of: figurines and moves, diagrams, typefaces, one file that needs nothing else.

Text from a talk is escaped in ``markup.html``; ``self_contained`` has the policy that lets nothing else in.
"""
