"""A base in parts, on one machine or a cluster: the pieces of work, their files, opening it.

Doors: ``cluster.add_on`` makes one, ``parquet_base.connect`` opens it.
"""
