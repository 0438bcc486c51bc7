"""What other programs read: money as decimal text, mass in grams, energy in kilocalories (ME), dates as text.

No words are made here beyond those that a record already holds.
"""
