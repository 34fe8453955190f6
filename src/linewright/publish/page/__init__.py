"""The lesson's page, and the page of a plan.

The doors are ``lesson_page.lesson_page`` and ``plan_page``; the scripts are in ``linewright/web``.
"""
