"""USDA's public food composition releases: readers, foods of them as own entries, the catalog compared with one.

The only folder that loads pandas; no plan does.
"""
