"""Serving a class its practice page: the app, its limits, many requests answered in one batch.

The door is :func:`linewright.practice.server.class_server.serve_class`; storage and drills are other folders' business.
"""
