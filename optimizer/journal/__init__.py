"""The batch journal: batches made, stock and lots. It takes finished sheets and never feeds the solver by itself."""
