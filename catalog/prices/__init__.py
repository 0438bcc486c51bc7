"""Price lists: one line of one, and a whole file, each mistake with its line.

What packages come to for a batch is in `optimizer/market`.
"""
