"""At the store: offers in whole packages, the cheapest mix that they make, and what each price would have to be."""
