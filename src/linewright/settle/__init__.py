"""Settling doubts: which place to ask about next, the dialogues, and the answers kept beside the talk.

Door: ``session.Session``; ``sitting`` asks in a terminal, ``machine`` by messages.
"""
