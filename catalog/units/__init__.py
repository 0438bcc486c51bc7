"""The measures of a kitchen: numbers and unit words as text, sizes of units, quantities and money, all exact.

No food is known here: what a spoon of something weighs stands in the tables.
"""
