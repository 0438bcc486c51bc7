"""What is a person's own: foods, labels and standards, read from TOML, laid over the catalog, written to a file.

A scenario is not read here.
"""
