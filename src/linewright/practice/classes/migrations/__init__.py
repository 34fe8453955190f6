"""The steps that bring a classes database of an older version up to date, run by Alembic."""
