"""The weigh-out sheet as data, and what follows from a finished one: order of work, portions, contributions, dossier.

Amounts and numbers in words are here too, the same rounding for all. Pages and files are made in `render`.
"""
