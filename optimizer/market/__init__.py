"""At the store: offers in whole packages, the cheapest mix that they make, and what each price would have to be.

What a scenario says about shopping is read in `scenario`; a plan from what is on hand needs none of this.
"""
