"""The film: what it shows and when (``shots``), its pictures (``frames``), their encoding (``encoding``).

The door is ``encoding.film_mp4``, which needs the extra ``film``.
"""
