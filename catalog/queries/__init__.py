"""Answers about the catalog itself: a food with all that is known of it, standards side by side, the audit, losses.

A plan needs none of it.
"""
