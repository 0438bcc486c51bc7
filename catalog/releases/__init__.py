"""Readers of USDA's public food composition releases, and the comparison of the catalog with one of them."""
