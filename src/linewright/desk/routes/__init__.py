"""The desk's addresses: pages, uploads, and the sockets of manuscripts, rooms and dictation.

Each module has a list ``routes``; :func:`linewright.desk.app.make_app` puts them together.
"""
