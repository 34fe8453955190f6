"""Classes, pupils and their logs in a database, and what a trainer sees of them.

The doors are ``store.Store`` and ``class_report.class_report``.
"""
