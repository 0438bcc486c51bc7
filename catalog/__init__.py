"""What is known about food: figures with their sources, standards, measures, cautions, prices and units.

Nothing of one batch is here, and nothing of `optimizer` is imported.
"""
