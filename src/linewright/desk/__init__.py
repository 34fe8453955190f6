"""The local web pages over a folder of talks: the desk, the stage, practice. Plain files stay the truth."""
