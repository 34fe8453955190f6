"""The trainer's local pages over a folder of talks, whose plain files stay the truth.

The door is :func:`linewright.desk.serving.serve`; :mod:`linewright.desk.app` says how a page is added.
"""
