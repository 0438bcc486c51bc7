"""The batch journal: batches made, stock and lots. It takes finished sheets and never feeds the solver by itself.

One module knows SQLite. A batch again, or in the middle, is planned in `repeating` and `amending`.
"""
