"""What comes in as text: CSV tables and TOML with their line numbers, cells, fields and names of foods.

Every mistake is a value with its file and line. What the figures of a food come to is in `nutrition`.
"""
