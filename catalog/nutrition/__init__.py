"""What follows from the figures of a food: what a gram holds, guards, energy needs, what a cat must not eat.

No file is read here and no batch is known.
"""
