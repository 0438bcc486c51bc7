"""Options that several commands share, and what they ask for.

A command itself is in the folder above.
"""
