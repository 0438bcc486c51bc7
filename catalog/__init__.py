"""What is known about food: figures, standards, measures, cautions. Imports nothing of `optimizer`."""
