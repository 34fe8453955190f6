"""Settling doubts: which place to ask about next, the dialogues, and the answers kept beside the talk."""
